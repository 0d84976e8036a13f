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

void attribute(const CoalitionRuns& runs, const std::function<double(const ModeRecord&)>& number,
               AttributedQuantity& quantity) {
  std::vector<double> value;
  for (Coalition coalition = 0; coalition <= runs.all(); ++coalition) {
    value.push_back(number(runs.first(coalition)) - number(runs.second(coalition)));
  }
  quantity.first = number(runs.first(runs.all()));
  quantity.second = number(runs.second(runs.all()));
  quantity.left_over = value[0];
  quantity.shares = player_shares(value);
  quantity.interaction = pair_interactions(value);
}

double least_depth(const CoalitionRuns& runs, std::size_t effect) {
  double least = runs.run.front().effects[effect].depth;
  for (const ModeRecord& record : runs.run) least = std::min(least, record.effects[effect].depth);
  return least;
}

void require_reached(const Attribution& attribution, std::size_t effect, double wanted) {
  const CoalitionRuns& runs = attribution.runs;
  for (const ModeRecord* record : {&runs.first(runs.all()), &runs.second(runs.all())}) {
    const double reached = record->effects[effect].depth;
    if (reached >= wanted) continue;
    throw CaseError(
        {.place = "--depth",
         .what = fmt::format("{} does not reach this depth of {}", record->name, record->effects[effect].name),
         .given = fmt::format("{:g} mm", wanted / mm),
         .allowed = fmt::format("up to {:.3g} mm in this case", reached / mm),
         .nearest = ""});
  }
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

Attribution attribution_of(const Case& of, CoalitionRuns runs, double wanted_depth) {
  assert(of.modes.size() == 2);
  Attribution attribution{of, std::move(runs), {}, 0};
  const CoalitionRuns& all_runs = attribution.runs;
  const std::size_t principal = principal_effect(of);

  std::vector<std::size_t> order{principal};
  for (std::size_t e = 0; e < of.effects.size(); ++e) {
    if (e != principal) order.push_back(e);
  }
  for (const std::size_t e : order) {
    const std::string& name = of.effects[e].name;
    AttributedQuantity depth{.name = "depth_mm." + name, .words = "depth of " + name, .unit = "mm", .decimals = 2};
    attribute(
        all_runs, [e](const ModeRecord& r) { return r.effects[e].depth / mm; }, depth);
    attribution.quantities.push_back(std::move(depth));
  }
  AttributedQuantity surface{.name = "surface_J", .words = "energy into the surface", .unit = "J", .decimals = 1};
  attribute(
      all_runs, [](const ModeRecord& r) { return r.surface; }, surface);
  attribution.quantities.push_back(std::move(surface));
  AttributedQuantity delivered{.name = "delivered_J", .words = "energy delivered", .unit = "J", .decimals = 1};
  attribute(
      all_runs, [](const ModeRecord& r) { return r.delivered; }, delivered);
  attribution.quantities.push_back(std::move(delivered));

  const double least = least_depth(all_runs, principal);
  if (wanted_depth > 0) require_reached(attribution, principal, wanted_depth);
  // The small addition keeps a depth of exactly a tenth from being rounded to the one below.
  const double depth = wanted_depth > 0 ? wanted_depth : std::floor(0.9 * least / (0.1 * mm) + 1e-9) * 0.1 * mm;
  attribution.depth_timed = depth;
  AttributedQuantity time{.name = "time_to_depth_s",
                          .words = fmt::format("time to {:.1f} mm of {}", depth / mm, of.effects[principal].name),
                          .unit = "s",
                          .decimals = 2};
  if (!(depth > 0)) {
    time.words = "time to a depth of " + of.effects[principal].name;
    time.no_value = "one of the runs behind the attribution reaches no depth";
  } else if (depth > least) {
    time.no_value = fmt::format("with some mechanisms off only {:.2f} mm are reached", least / mm);
  } else {
    attribute(
        all_runs, [principal, depth](const ModeRecord& r) { return time_to_depth(r, principal, depth); }, time);
  }
  attribution.quantities.push_back(std::move(time));
  return attribution;
}

}  // namespace dryfront
