#include "studies/fit/problem.hpp"

#include <algorithm>
#include <set>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"

namespace dryfront {
namespace {

std::size_t setup_of(FitProblem& problem, const Case& c, const MeasuredRow& row, const DrawnCase& drawn) {
  FitSetup setup{row.mode, row.overrides, label_of(c.modes[row.mode]), 0};
  for (const std::string& set : row.set) setup.words += ", " + set;
  try {
    Case of = drawn(row.overrides);
    of.modes = {of.modes.at(row.mode)};
    setup.activation = of.modes.front().activation;
    setup.resolved = resolved_toml(of);
  } catch (const CaseError& error) {
    std::vector<CaseProblem> problems = error.problems();
    for (CaseProblem& p : problems) p.place = row.place + ", " + p.place;
    throw CaseError(std::move(problems));
  }
  for (std::size_t k = 0; k < problem.setups.size(); ++k) {
    if (problem.setups[k].resolved == setup.resolved) return k;
  }
  problem.setups.push_back(std::move(setup));
  return problem.setups.size() - 1;
}

std::size_t output_of(FitProblem& problem, const Case& c, std::size_t setup, MeasuredKind kind, std::size_t effect) {
  if (kind == MeasuredKind::dry_out) effect = 0;
  for (std::size_t k = 0; k < problem.outputs.size(); ++k) {
    const FitOutput& output = problem.outputs[k];
    if (output.setup == setup && output.kind == kind && output.effect == effect) return k;
  }
  const MeasuredColumns& columns = measured_columns[static_cast<std::size_t>(kind)];
  std::string words = columns.words;
  if (kind != MeasuredKind::dry_out) words += " of " + c.effects[effect].name;
  problem.outputs.push_back({setup, kind, effect, words + ", " + problem.setups[setup].words, columns.unit});
  return problem.outputs.size() - 1;
}

void add_row(FitProblem& problem, const Case& c, const MeasuredRow& row, const DrawnCase& drawn) {
  const std::size_t setup = setup_of(problem, c, row, drawn);
  for (const MeasuredValue& value : row.values) {
    if (value.kind == MeasuredKind::dry_out && value.value > problem.setups[setup].activation) {
      throw CaseError({value.place, "the contact cannot dry out after the current was switched off",
                       std::to_string(value.value),
                       "up to " + std::to_string(problem.setups[setup].activation) + " s, or none", ""});
    }
    const std::size_t output = output_of(problem, c, setup, value.kind, row.effect);
    problem.observations.push_back(
        {output, row.specimen, value.value, value.spread, value.none, row.held_out, value.place});
  }
}

}  // namespace

bool FitProblem::fits_both() const {
  if (!pair) return false;
  std::set<std::size_t> fitted;
  for (const Observation& o : observations) {
    if (!o.held_out) fitted.insert(setups[outputs[o.output].setup].mode);
  }
  return fitted.contains(setups[outputs[pair->first].setup].mode) &&
         fitted.contains(setups[outputs[pair->second].setup].mode);
}

bool FitProblem::is_asked_for(std::size_t output) const {
  if (pair && (pair->first == output || pair->second == output)) return true;
  return std::any_of(observations.begin(), observations.end(),
                     [&](const Observation& o) { return o.output == output; });
}

FitProblem fit_problem(const Case& c, std::vector<PlanAxis> parameters, const MeasuredSections& measured,
                       const MeasuredSections& candidates, const DrawnCase& drawn) {
  FitProblem problem;
  problem.parameters = std::move(parameters);
  for (const Mode& mode : c.modes) problem.modes.push_back(label_of(mode));
  for (const MeasuredRow& row : measured.rows) add_row(problem, c, row, drawn);
  if (std::all_of(problem.observations.begin(), problem.observations.end(),
                  [](const Observation& o) { return o.held_out; })) {
    throw CaseError({measured.rows.front().place, "every row is held out: nothing is left to fit", "", "", ""});
  }
  for (const MeasuredRow& row : candidates.rows) {
    const std::size_t setup = setup_of(problem, c, row, drawn);
    for (const MeasuredKind kind : {MeasuredKind::depth, MeasuredKind::half_width}) {
      problem.candidates.push_back(output_of(problem, c, setup, kind, row.effect));
    }
  }
  if (const auto pair = extreme_modes(c)) {
    const std::size_t principal = principal_effect(c);
    const auto depth = [&](std::size_t mode) {
      MeasuredRow row;
      row.mode = mode;
      return output_of(problem, c, setup_of(problem, c, row, drawn), MeasuredKind::depth, principal);
    };
    const std::size_t first = depth(pair->first);
    problem.pair = {first, depth(pair->second)};
  }
  return problem;
}

std::vector<PlanAxis> chosen_parameters(const std::vector<PlanAxis>& ranges, const std::vector<std::string>& wanted) {
  std::vector<std::string> keys;
  for (const PlanAxis& axis : ranges) keys.push_back(axis.keys.front());
  std::vector<PlanAxis> chosen;
  for (const std::string& name : wanted) {
    const auto is_it = [&](const PlanAxis& axis) { return axis.keys.front() == name || axis.name == name; };
    const auto found = std::find_if(ranges.begin(), ranges.end(), is_it);
    if (found == ranges.end()) {
      throw CaseError({.place = "--parameter",
                       .what = "no range to fit this number within, or it is set on the command line",
                       .given = name,
                       .allowed = joined(keys),
                       .nearest = nearest_name(name, keys)});
    }
    if (std::any_of(chosen.begin(), chosen.end(), is_it)) {
      throw CaseError({.place = "--parameter", .what = "named twice", .given = name, .allowed = "", .nearest = ""});
    }
    chosen.push_back(*found);
  }
  return chosen;
}

}  // namespace dryfront
