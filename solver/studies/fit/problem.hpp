// What is fitted to what: parameters with their priors, the runs that the measurements ask for, the measurements.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "files/measured/sections.hpp"
#include "files/plan/plan_file.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// The case with these overrides, at the resolution of the fit. Throws CaseError.
using DrawnCase = std::function<Case(const std::vector<std::string>& overrides)>;

// One run: a mode with what the rows set. Rows that come to the same case share it.
struct FitSetup {
  std::size_t mode = 0;
  std::vector<std::string> overrides;
  std::string words;       // "continuous, activation_s = 8"
  double activation = 0;   // [s]
  std::string resolved{};  // the case of this run, written out: what tells two set-ups apart
};

// One number of a run, in the unit of its column.
struct FitOutput {
  std::size_t setup = 0;
  MeasuredKind kind = MeasuredKind::depth;
  std::size_t effect = 0;
  std::string words;  // "depth of coagulation, continuous, activation_s = 8"
  std::string unit;
};

struct Observation {
  std::size_t output = 0;
  std::string specimen;
  double value = 0;   // in the output's unit
  double spread = 0;  // one standard deviation
  bool none = false;  // dry-out: not while the current was on
  bool held_out = false;
  std::string place;  // file:line:column
};

struct FitProblem {
  std::vector<PlanAxis> parameters;  // their distributions are the priors; base: in the case
  std::vector<FitSetup> setups;
  std::vector<FitOutput> outputs;
  std::vector<Observation> observations;
  // Outputs of the two modes that stand furthest apart, as the case has them: depths of the principal effect.
  std::optional<std::pair<std::size_t, std::size_t>> pair;
  std::vector<std::size_t> candidates;  // outputs that could be measured next
  std::vector<std::string> modes;       // labels

  // Whether rows of both modes of the pair are fitted.
  bool fits_both() const;
  // Whether an output was measured or belongs to the pair.
  bool is_asked_for(std::size_t output) const;
};

// The problem that the rows pose. Every row is tried by drawing its case. Throws CaseError where a row sets what the
// case does not allow or a dry-out time lies behind the activation.
FitProblem fit_problem(const Case& c, std::vector<PlanAxis> parameters, const MeasuredSections& measured,
                       const MeasuredSections& candidates, const DrawnCase& drawn);

// The axes of `ranges` whose key or name is among `wanted`, in the order wanted. Throws CaseError for one that has no
// range.
std::vector<PlanAxis> chosen_parameters(const std::vector<PlanAxis>& ranges, const std::vector<std::string>& wanted);

}  // namespace dryfront
