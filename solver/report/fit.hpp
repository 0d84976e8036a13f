// A fit as text, JSON, table of draws and comment of a case.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "studies/fit/summary.hpp"

namespace dryfront {

struct FitReport {
  std::string title;  // of the case
  std::string case_path, sections_path;
  std::string resolution;
  std::size_t outline_points = 0;  // of the table, not used
  const Fit& fit;
  const FitSummary& summary;
};

std::string fit_text(const FitReport& report);
nlohmann::ordered_json fit_json(const FitReport& report, const std::string& version);

// One line a draw: the parameters in their keys' units, discrepancy, logarithm of nothing else; RFC 4180.
std::string draws_csv(const Fit& fit);

// Lines that begin with #, to stand above the case with the fitted numbers.
std::string fitted_case_head(const FitReport& report);

// "a fit of both modes" and what follows from it, or which mode was fitted.
std::string scope_text(const FitProblem& problem);

}  // namespace dryfront
