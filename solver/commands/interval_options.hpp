// The interval that run computes beside its depths.
#pragma once

#include <filesystem>
#include <string>

#include "commands/case_arguments.hpp"
#include "commands/interrupt.hpp"
#include "files/plan/assumed_ranges.hpp"
#include "report/interval_text.hpp"

namespace dryfront {

struct IntervalArguments {
  int points = 0;      // 0: no interval is asked for
  std::string ranges;  // the plan with the ranges; empty: that of this installation
};
void add_interval(CLI::App& command, IntervalArguments& arguments);

// The file with the ranges, and those of them that are drawn for the case.
struct IntervalRanges {
  std::filesystem::path file;
  AssumedRanges drawn;
};
// Throws CaseError, FileError.
IntervalRanges interval_ranges(const IntervalArguments& arguments, const CaseArguments& of_case, const Case& c);

// Runs the design at sweep resolution, with a progress line on a terminal unless `quiet`.
IntervalAnswer compute_interval(const IntervalArguments& arguments, const CaseArguments& of_case,
                                const IntervalRanges& ranges, int threads, const InterruptGuard& interrupt, bool quiet);

}  // namespace dryfront
