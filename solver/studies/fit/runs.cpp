#include "studies/fit/runs.hpp"

#include <fmt/format.h>

#include <cmath>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "simulation/run.hpp"
#include "studies/sweep/design.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

struct Outcome {
  std::vector<double> values;  // of the set-up's outputs, in their order; empty: stopped or failed
  std::string reason;
  bool past_range = false;
};

double value_of(const FitOutput& output, const FitSetup& setup, const ModeRecord& record) {
  const EffectRecord& effect = record.effects.at(output.effect);
  switch (output.kind) {
    case MeasuredKind::depth:
      return effect.depth / mm;
    case MeasuredKind::half_width:
      return effect.half_width / mm;
    case MeasuredKind::dry_out:
      // A contact that stays wet dries out later than the end: the end is what goes on smoothly from the others.
      return std::isnan(record.dry_out) ? setup.activation : std::min(record.dry_out, setup.activation);
  }
  return not_a_number;
}

// What a run is known by: its case and what is read off it.
std::string name_of(const FitProblem& problem, std::size_t setup, const Case& c) {
  std::string name = resolved_toml(c);
  for (const FitOutput& output : problem.outputs) {
    if (output.setup == setup) name += output.words.substr(0, output.words.find(',')) + "\n";
  }
  return name;
}

Outcome outcome_of(const FitProblem& problem, std::size_t setup, Case c, KnownRuns& known,
                   const std::atomic<bool>* stop) {
  const FitSetup& of = problem.setups[setup];
  const Mode mode = c.modes.at(of.mode);
  c.modes = {mode};
  const std::string name = known.keeps() ? name_of(problem, setup, c) : "";
  if (auto values = known.find(name)) {
    const bool past_range = values->back() != 0;
    values->pop_back();
    return {std::move(*values), "", past_range};
  }
  Observer observer;
  observer.stop = stop;
  const std::vector<ModeRecord> records = run(c, case_grid(c), observer, 1);
  if (!records.front().completed) return {};
  Outcome outcome;
  outcome.past_range = records.front().past_range.happened();
  for (const FitOutput& output : problem.outputs) {
    if (output.setup == setup) outcome.values.push_back(value_of(output, of, records.front()));
  }
  std::vector<double> kept = outcome.values;
  kept.push_back(outcome.past_range ? 1 : 0);
  known.add(name, kept);
  return outcome;
}

}  // namespace

std::vector<Shares> sobol_points(std::size_t dimensions, std::size_t count, int seed) {
  Plan plan;
  plan.seed = seed;
  PlanDesign design;
  design.kind = DesignKind::sobol;
  design.points = static_cast<int>(count);
  for (std::size_t k = 0; k < dimensions; ++k) {
    PlanAxis axis;
    axis.distribution = Distribution::uniform;
    axis.low = 0;
    axis.high = 1;
    plan.axes.push_back(axis);
    design.axes.push_back(k);
  }
  plan.designs.push_back(design);
  DesignPoints sequence(plan, 0);
  std::vector<Shares> points;
  for (std::size_t k = 0; k < count; ++k) {
    Shares shares;
    for (const AxisSetting& setting : sequence.at(k)) shares.push_back(setting.number);
    points.push_back(std::move(shares));
  }
  return points;
}

double parameter_at(const PlanAxis& parameter, double share) { return quantile(parameter, share).number; }

std::vector<std::string> settings_at(const FitProblem& problem, const Shares& shares) {
  std::vector<std::string> overrides;
  for (std::size_t k = 0; k < shares.size(); ++k) {
    const std::string text = quantile(problem.parameters[k], shares[k]).text;
    for (const std::string& key : problem.parameters[k].keys) overrides.push_back(fmt::format("{}={}", key, text));
  }
  return overrides;
}

void FitRuns::add(const std::vector<Shares>& points, const ParallelRuns& how) {
  const std::size_t setups = problem_.setups.size();
  std::vector<Outcome> outcomes(points.size() * setups);
  const auto compute = [&](std::size_t k) {
    const std::size_t setup = k % setups;
    std::vector<std::string> overrides = settings_at(problem_, points[k / setups]);
    const std::vector<std::string>& own = problem_.setups[setup].overrides;
    overrides.insert(overrides.end(), own.begin(), own.end());
    try {
      outcomes[k] = outcome_of(problem_, setup, drawn_(overrides), known_, how.stop);
    } catch (const NumericalFailure& error) {
      outcomes[k].reason = error.what();
    } catch (const CaseError& error) {
      outcomes[k].reason = error.what();
    }
  };
  run_in_parallel(outcomes.size(), how, compute);
  if (how.stopped()) return;
  values_.resize(problem_.outputs.size());
  for (std::size_t point = 0; point < points.size(); ++point) {
    points_.push_back(points[point]);
    std::vector<std::size_t> next(setups, 0);  // output of each set-up
    for (std::size_t output = 0; output < problem_.outputs.size(); ++output) {
      const std::size_t setup = problem_.outputs[output].setup;
      const Outcome& outcome = outcomes[point * setups + setup];
      values_[output].push_back(outcome.values.empty() ? not_a_number : outcome.values[next[setup]++]);
    }
    for (std::size_t setup = 0; setup < setups; ++setup) {
      const Outcome& outcome = outcomes[point * setups + setup];
      if (outcome.values.empty() && failed_++ == 0) reason_ = outcome.reason;
      past_range_ += outcome.past_range ? 1U : 0U;
    }
  }
}

}  // namespace dryfront
