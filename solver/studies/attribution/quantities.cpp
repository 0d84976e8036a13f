#include "studies/attribution/quantities.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>

#include "files/case/case_error.hpp"

namespace dryfront {

namespace {

constexpr double mm = 1e-3;

using Number = std::function<double(const ModeRecord&)>;

void attribute(const AttributionRuns& runs, const Number& number, AttributedQuantity& quantity) {
  quantity.first = number(runs.first());
  quantity.second = number(runs.second());
  // What taking a coalition's things from the second mode adds to the difference first minus second.
  std::vector<double> value;
  for (Coalition coalition = 0; coalition <= runs.all(); ++coalition) {
    value.push_back(quantity.first - number(runs.mixture(coalition)));
  }
  const std::vector<PlayerShare> shares = player_shares(value);
  const std::vector<std::vector<double>> interaction = pair_interactions(value);
  const auto place = [&](std::size_t k) { return static_cast<std::size_t>(runs.players[k]); };
  for (std::size_t k = 0; k < shares.size(); ++k) {
    quantity.shares[place(k)] = shares[k];
    for (std::size_t l = 0; l < shares.size(); ++l) quantity.interaction[place(k)][place(l)] = interaction[k][l];
  }
  const auto number_or_none = [&](std::size_t k) { return runs.failed[k].empty() ? number(runs.run[k]) : not_a_time; };
  for (const ConditionRuns& condition : runs.condition) {
    quantity.conditions.push_back({condition.off, number_or_none(condition.first), number_or_none(condition.second)});
  }
}

double least_depth(const AttributionRuns& runs, std::size_t effect) {
  double least = runs.first().effects[effect].depth;
  for (const std::size_t k : runs.of_mixture) least = std::min(least, runs.run[k].effects[effect].depth);
  return least;
}

void require_reached(const AttributionRuns& runs, std::size_t effect, double wanted) {
  for (const ModeRecord* record : {&runs.first(), &runs.second()}) {
    const double reached = record->effects[effect].depth;
    if (reached >= wanted) continue;
    throw CaseError(
        {.place = "the depth whose time is asked for",
         .what = fmt::format("{} does not reach this depth of {}", record->name, record->effects[effect].name),
         .given = fmt::format("{:g} mm", wanted / mm),
         .allowed = fmt::format("up to {:.3g} mm in this case", reached / mm),
         .nearest = ""});
  }
}

AttributedQuantity attributed_time(const Case& of, const AttributionRuns& runs, std::size_t effect, double depth) {
  const double least = least_depth(runs, effect);
  AttributedQuantity time{.name = "time_to_depth_s",
                          .words = fmt::format("time to {:.1f} mm of {}", depth / mm, of.effects[effect].name),
                          .unit = "s",
                          .decimals = 2};
  if (!(depth > 0)) {
    time.words = "time to a depth of " + of.effects[effect].name;
    time.no_value = "one of the runs behind the attribution reaches no depth";
  } else if (depth > least) {
    time.no_value = fmt::format("one of the mixtures of the two modes reaches only {:.2f} mm", least / mm);
  } else {
    attribute(
        runs, [effect, depth](const ModeRecord& r) { return time_to_depth(r, effect, depth); }, time);
  }
  return time;
}

}  // namespace

std::size_t principal_effect(const Case& c) {
  assert(!c.effects.empty());
  const auto found =
      std::find_if(c.effects.begin(), c.effects.end(), [](const Effect& e) { return e.name == "coagulation"; });
  return found == c.effects.end() ? 0 : static_cast<std::size_t>(found - c.effects.begin());
}

double time_to_depth(const ModeRecord& record, std::size_t effect, double depth) {
  const std::vector<double>& time = record.trace.time;
  const std::vector<double>& reached = record.trace.greatest_depth[effect];
  for (std::size_t k = 0; k < time.size(); ++k) {
    if (reached[k] < depth) continue;
    if (k == 0 || reached[k] == reached[k - 1]) return time[k];
    return time[k - 1] + (time[k] - time[k - 1]) * (depth - reached[k - 1]) / (reached[k] - reached[k - 1]);
  }
  return not_a_time;
}

Attribution attribution_of(const Case& of, AttributionRuns runs, double wanted_depth) {
  assert(of.modes.size() == 2);
  Attribution attribution{of, std::move(runs), {}, 0};
  const AttributionRuns& all_runs = attribution.runs;
  const std::size_t principal = principal_effect(of);
  if (wanted_depth > 0) require_reached(all_runs, principal, wanted_depth);
  const auto add = [&](AttributedQuantity quantity, const Number& number) {
    attribute(all_runs, number, quantity);
    attribution.quantities.push_back(std::move(quantity));
  };

  std::vector<std::size_t> order{principal};
  for (std::size_t e = 0; e < of.effects.size(); ++e) {
    if (e != principal) order.push_back(e);
  }
  for (const std::size_t e : order) {
    const std::string& name = of.effects[e].name;
    add({.name = "depth_mm." + name, .words = "depth of " + name, .unit = "mm", .decimals = 2},
        [e](const ModeRecord& r) { return r.effects[e].depth / mm; });
  }
  add({.name = "surface_J", .words = "energy into the surface", .unit = "J", .decimals = 1},
      [](const ModeRecord& r) { return r.surface; });
  add({.name = "delivered_J", .words = "energy delivered", .unit = "J", .decimals = 1},
      [](const ModeRecord& r) { return r.delivered; });

  // The small addition keeps a depth of exactly a tenth from being rounded to the one below.
  const double nine_tenths = std::floor(0.9 * least_depth(all_runs, principal) / (0.1 * mm) + 1e-9) * 0.1 * mm;
  attribution.depth_timed = wanted_depth > 0 ? wanted_depth : nine_tenths;
  attribution.quantities.push_back(attributed_time(of, all_runs, principal, attribution.depth_timed));
  return attribution;
}

}  // namespace dryfront
