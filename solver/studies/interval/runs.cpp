#include "studies/interval/runs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "files/case/case_error.hpp"
#include "simulation/run.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"
#include "studies/interval/statistics.hpp"
#include "studies/sweep/design.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;
constexpr double confidence = 0.8;
constexpr int design_seed = 1;

// One run of all modes: their depths, or why there are none.
struct Outcome {
  std::vector<double> depth;  // [mm]
  std::string reason;         // of a failure, the numbers' or that of a case which cannot be
};

Outcome outcome_of(const std::function<Case()>& make, std::size_t effect, const std::atomic<bool>* stop) {
  Outcome outcome;
  try {
    const Case c = make();
    Observer observer;
    observer.stop = stop;
    for (const ModeRecord& record : run(c, case_grid(c), observer, 1)) {
      if (!record.completed) return {};  // stopped
      outcome.depth.push_back(record.effects.at(effect).depth / mm);
    }
  } catch (const NumericalFailure& error) {
    outcome = {{}, error.what()};
  } catch (const CaseError& error) {
    outcome = {{}, error.what()};
  }
  return outcome;
}

Plan plan_of(const AssumedRanges& ranges, int points) {
  Plan plan;
  plan.axes = ranges.axes;
  plan.seed = design_seed;
  PlanDesign design;
  design.name = "interval";
  design.kind = DesignKind::latin_hypercube;
  design.points = points;
  for (std::size_t k = 0; k < plan.axes.size(); ++k) design.axes.push_back(k);
  plan.designs.push_back(design);
  return plan;
}

// A quantity of the points that have a result, with the settings of those points.
IntervalQuantity quantity_of(std::string name, std::string words, std::string unit, double here,
                             const std::vector<double>& values, const std::vector<std::vector<double>>& settings) {
  IntervalQuantity quantity{.name = std::move(name), .words = std::move(words), .unit = std::move(unit), .here = here};
  std::vector<double> sorted;
  for (const double value : values) {
    if (!std::isnan(value)) sorted.push_back(value);
  }
  quantity.counted = sorted.size();
  if (sorted.empty()) {
    quantity.low = quantity.high = {not_a_number, not_a_number, not_a_number};
    quantity.least = quantity.greatest = not_a_number;
    return quantity;
  }
  std::sort(sorted.begin(), sorted.end());
  constexpr double tail = 0.5 * (1 - interval_share);
  quantity.low = quantile_estimate(sorted, tail, confidence);
  quantity.high = quantile_estimate(sorted, 1 - tail, confidence);
  quantity.least = sorted.front();
  quantity.greatest = sorted.back();
  for (const std::vector<double>& axis : settings) {
    std::vector<double> x, y;
    for (std::size_t k = 0; k < values.size(); ++k) {
      if (std::isnan(values[k])) continue;
      x.push_back(axis[k]);
      y.push_back(values[k]);
    }
    quantity.correlation.push_back(rank_correlation(x, y));
  }
  const auto weaker = [](double a, double b) { return std::abs(a) < std::abs(b); };
  quantity.foremost =
      static_cast<std::size_t>(std::max_element(quantity.correlation.begin(), quantity.correlation.end(), weaker) -
                               quantity.correlation.begin());
  return quantity;
}

void add_pair(DepthInterval& interval, const Case& c, const Outcome& here, const std::vector<const Outcome*>& results,
              const std::vector<std::vector<double>>& settings) {
  const auto pair = extreme_modes(c);
  if (!pair) return;
  const auto [a, b] = *pair;
  interval.first = c.modes[a].name;
  interval.second = c.modes[b].name;
  std::vector<double> ratio, difference;
  std::size_t deeper = 0;
  for (const Outcome* outcome : results) {
    const double one = outcome->depth[a], other = outcome->depth[b];
    ratio.push_back(one / other);  // not a number where neither has a depth
    difference.push_back(one - other);
    deeper += one > other ? 1 : 0;
  }
  interval.first_deeper = static_cast<double>(deeper) / static_cast<double>(results.size());
  const std::string over = interval.first + " / " + interval.second, minus = interval.first + " - " + interval.second;
  interval.quantities.push_back(quantity_of("depth_ratio", over, "1", here.depth[a] / here.depth[b], ratio, settings));
  interval.quantities.push_back(
      quantity_of("depth_difference_mm", minus, "mm", here.depth[a] - here.depth[b], difference, settings));
}

}  // namespace

IntervalAnswer depth_interval(const Case& here, const AssumedRanges& ranges,
                              const std::function<Case(const std::vector<std::string>&)>& drawn, int points_drawn,
                              const ParallelRuns& how) {
  const std::size_t effect = principal_effect(here);
  const Plan plan = plan_of(ranges, points_drawn);
  DesignPoints design(plan, 0);
  std::vector<std::vector<AxisSetting>> points;
  for (std::uint64_t k = 0; k < design.size(); ++k) points.push_back(design.at(k));

  // That of the case as it is, then the points of the design in their order.
  std::vector<Outcome> outcomes(points.size() + 1);
  run_in_parallel(outcomes.size(), how, [&](std::size_t k) {
    const auto make = [&] { return k == 0 ? here : drawn(overrides_of(plan, points[k - 1])); };
    outcomes[k] = outcome_of(make, effect, how.stop);
  });
  if (how.stopped()) return {std::nullopt, "interrupted"};
  const Outcome& as_it_is = outcomes.front();
  if (as_it_is.depth.empty()) return {std::nullopt, "the case itself has no result there: " + as_it_is.reason};

  DepthInterval interval;
  interval.effect = here.effects[effect].name;
  interval.points = points.size();
  interval.seed = design_seed;
  interval.confidence = confidence;
  interval.held = ranges.held;
  interval.foreign = ranges.foreign;
  for (const PlanAxis& axis : ranges.axes) {
    interval.assumed.push_back(
        {axis.keys.front(), std::string(word_of(axis.distribution)), axis.low, axis.high, axis.base});
  }
  std::vector<const Outcome*> results;
  std::vector<std::vector<double>> settings(ranges.axes.size());
  for (std::size_t k = 0; k < points.size(); ++k) {
    const Outcome& outcome = outcomes[k + 1];
    if (outcome.depth.empty()) {
      if (interval.failed++ == 0) interval.reason = outcome.reason;
      continue;
    }
    results.push_back(&outcome);
    for (std::size_t axis = 0; axis < settings.size(); ++axis) settings[axis].push_back(points[k][axis].number);
  }
  if (2 * results.size() < points.size()) {
    return {std::nullopt, fmt::format("{} of {} runs have no result; the first: {}", interval.failed, points.size(),
                                      interval.reason)};
  }
  interval.notable_correlation = notable_correlation(results.size(), interval.assumed.size());
  for (std::size_t mode = 0; mode < here.modes.size(); ++mode) {
    std::vector<double> depth;
    for (const Outcome* outcome : results) depth.push_back(outcome->depth[mode]);
    const std::string& name = here.modes[mode].name;
    interval.quantities.push_back(quantity_of("depth_mm." + name, name, "mm", as_it_is.depth[mode], depth, settings));
  }
  add_pair(interval, here, as_it_is, results, settings);
  return {std::move(interval), ""};
}

const IntervalQuantity* interval_of(const IntervalAnswer& answer, const std::string& mode) {
  if (!answer.interval) return nullptr;
  for (const IntervalQuantity& quantity : answer.interval->quantities) {
    if (quantity.name == "depth_mm." + mode) return &quantity;
  }
  return nullptr;
}

}  // namespace dryfront
