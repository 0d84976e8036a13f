// What one run of a sweep leaves behind: the numbers of its summary in columns that are the same for every point.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "files/plan/plan_file.hpp"
#include "simulation/record.hpp"

namespace dryfront {

enum class RowStatus : std::uint32_t { done, bad_case, numerical_failure, no_memory, fault };

std::string_view word(RowStatus status);

// How much a row settles of its point: 2 when its run is done; 1 when its failure would come again; 0 when it need not
// (too little memory, an unforeseen fault). Of several rows of one point the first that settles most counts.
int settles(RowStatus status);

struct SweepRow {
  std::uint64_t point = 0;
  RowStatus status = RowStatus::done;
  double wall = 0;             // what the run took; not part of the table, which has to be the same every time [s]
  std::string reason;          // of a failure, cut to reason_length bytes
  std::vector<double> values;  // one per result column; not a number where there is none
};

inline constexpr std::size_t reason_length = 200;  // [byte]

// `text` on one line, cut to reason_length bytes between letters.
std::string row_reason(std::string_view text);

// The result columns of a plan: every number of the summary (DRIVE.depth_mm.coagulation, DRIVE.delivered_J, ...), lists
// left out, then for the first mode against each other one and each effect
//   depth_ratio.FIRST_over_OTHER.EFFECT          not a number where neither has a depth
//   depth_difference_mm.FIRST_minus_OTHER.EFFECT
std::vector<std::string> result_columns(const Plan& plan);

// Their values for a run of that plan, in the same order. `records` lose their traces and probes.
std::vector<double> result_values(const Case& c, std::size_t cells, std::vector<ModeRecord>& records);

// The columns the analysis looks at when the plan names none: the depth of the first effect of every mode, and its
// ratio and difference for the first mode against each other one.
std::vector<std::string> headline_columns(const Plan& plan);

}  // namespace dryfront
