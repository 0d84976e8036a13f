#include "studies/search/basis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cassert>
#include <cmath>

#include "studies/parallel_runs.hpp"

namespace dryfront {

namespace {

constexpr double searched_down = 16, searched_up = 16;  // as factors of the setting or the activation of the case
constexpr double tight = 0.5 * basis_tolerance;

double mean_power(const ModeRecord& record, const Mode& mode) { return record.delivered / mode.activation; }

std::string changed_text(const Mode& was, const Mode& is) {
  if (was.activation != is.activation)
    return fmt::format("{}: activation_s = {:.4g} in place of {:g}", is.name, is.activation, was.activation);
  if (setting_of(was.source) == setting_of(is.source)) return is.name + " as in the case";
  return fmt::format("{}: {} = {:.4g} in place of {:g}", is.name, setting_key(is.source), setting_of(is.source),
                     setting_of(was.source));
}

// Turns the setting of the pair's second mode until `quantity` of its record is `pair.wanted`, and keeps that record.
void turn_setting(PairOnBasis& pair, const Grid& grid, double from, double to,
                  const std::function<double(const ModeRecord&, const Mode&)>& quantity, bool falls,
                  const SearchWork& work) {
  Mode& mode = pair.two.modes[1];
  const Mode was = mode;
  Search search;
  search.function = [&](double setting) {
    Mode turned = was;
    turned.source = with_setting(was.source, setting);
    ModeRecord record = run_alone(pair.two, grid, turned, work);
    const double value = quantity(record, turned);
    mode = turned;
    pair.second = std::move(record);
    return falls ? 1 / value : value;
  };
  search.wanted = falls ? 1 / pair.wanted : pair.wanted;
  search.tolerance = tight;
  search.from = from;
  search.to = to;
  // The search ends with the run that settles it, so mode and record are those found.
  find_rising(search);
  pair.held = quantity(pair.second, mode);
}

PairOnBasis same_setting(PairOnBasis pair, const Grid& grid, const SearchWork& work) {
  const Source& first = pair.two.modes[0].source;
  Source& second = pair.two.modes[1].source;
  if (first.kind == SourceKind::voltage || second.kind == SourceKind::voltage) {
    throw NotFound("a source of fixed voltage has no setting");
  }
  second = with_setting(second, first.setting);
  pair.second = run_alone(pair.two, grid, pair.two.modes[1], work);
  pair.wanted = first.setting;
  pair.held = second.setting;
  pair.unit = "W on the setting";
  return pair;
}

PairOnBasis same_power(PairOnBasis pair, const Grid& grid, const SearchWork& work) {
  pair.wanted = mean_power(pair.first, pair.two.modes[0]);
  pair.unit = "W on average";
  const Source source = pair.two.modes[1].source;
  // A setting in watts is never passed by the power, so that no lower one will do; the others start far below.
  const bool bounded = source.kind == SourceKind::constant_power || source.kind == SourceKind::unregulated ||
                       source.kind == SourceKind::temperature;
  const double from = bounded ? pair.wanted * (1 - 0.5 * tight) : setting_of(source) / searched_down;
  turn_setting(pair, grid, from, searched_up * std::max(from, setting_of(source)), mean_power, false, work);
  return pair;
}

PairOnBasis same_dry_out(PairOnBasis pair, const Grid& grid, const SearchWork& work) {
  if (std::isnan(pair.first.dry_out)) {
    throw NotFound(fmt::format("the contact of {} does not dry out within its activation", pair.first.name));
  }
  pair.wanted = pair.first.dry_out;
  pair.unit = "s to dry-out";
  const double setting = setting_of(pair.two.modes[1].source);
  const auto dry_out = [](const ModeRecord& record, const Mode&) {
    return std::isnan(record.dry_out) ? std::numeric_limits<double>::infinity() : record.dry_out;
  };
  turn_setting(pair, grid, setting / searched_down, setting * searched_up, dry_out, true, work);
  return pair;
}

PairOnBasis same_energy(PairOnBasis pair, const Grid& grid, const SearchWork& work) {
  pair.wanted = pair.first.delivered;
  pair.unit = "J";
  Mode& mode = pair.two.modes[1];
  const double of_case = mode.activation;
  Search search;
  search.function = [&](double activation) {
    mode.activation = activation;
    pair.second = run_alone(pair.two, grid, mode, work);
    return pair.second.delivered;
  };
  search.wanted = pair.wanted;
  search.tolerance = tight;
  search.from = of_case / searched_down;
  search.to = of_case * searched_up;
  search.ratio = 2;
  find_rising(search);
  pair.held = pair.second.delivered;
  return pair;
}

// Both modes with one activation; first depth minus second.
struct PairOfDepths {
  double first = 0, second = 0;
  double difference() const { return first - second; }
};

PairOfDepths depths_at(const Case& two, const Grid& grid, std::size_t effect, double activation,
                       const SearchWork& work) {
  const auto depth = [&](std::size_t k) {
    Mode mode = two.modes[k];
    mode.activation = activation;
    return run_alone(two, grid, mode, work).effects[effect].depth;
  };
  return {depth(0), depth(1)};
}

}  // namespace

std::string_view words(Basis basis) {
  switch (basis) {
    case Basis::as_given:
      return "the modes as they stand";
    case Basis::same_setting:
      return "the same setting";
    case Basis::mean_power:
      return "the same mean power";
    case Basis::energy:
      return "the same energy";
    case Basis::dry_out:
      return "the same time to dry out";
  }
  return "";
}

PairOnBasis on_basis(const Case& two, const Grid& grid, Basis basis, const SearchWork& work) {
  assert(two.modes.size() == 2 && basis != Basis::as_given);
  PairOnBasis pair;
  pair.two = two;
  pair.first = run_alone(two, grid, two.modes[0], work);
  switch (basis) {
    case Basis::as_given:
      break;
    case Basis::same_setting:
      pair = same_setting(std::move(pair), grid, work);
      break;
    case Basis::mean_power:
      pair = same_power(std::move(pair), grid, work);
      break;
    case Basis::energy:
      pair = same_energy(std::move(pair), grid, work);
      break;
    case Basis::dry_out:
      pair = same_dry_out(std::move(pair), grid, work);
      break;
  }
  pair.changed = changed_text(two.modes[1], pair.two.modes[1]);
  return pair;
}

OrderOverActivation order_over_activation(const Case& two, const Grid& grid, std::size_t effect, double shortest,
                                          double longest, int points, double alike, int threads,
                                          const SearchWork& work) {
  assert(two.modes.size() == 2 && points >= 2 && 0 < shortest && shortest < longest);
  OrderOverActivation order;
  const auto count = static_cast<std::size_t>(points);
  order.activation.resize(count);
  order.first_depth.resize(count);
  order.second_depth.resize(count);
  for (std::size_t k = 0; k < count; ++k) {
    order.activation[k] =
        shortest * std::pow(longest / shortest, static_cast<double>(k) / static_cast<double>(count - 1));
  }
  run_in_parallel(count, {threads, work.stop}, [&](std::size_t n) {
    const std::size_t k = count - 1 - n;  // the longest first, so that the threads end together
    const PairOfDepths depths = depths_at(two, grid, effect, order.activation[k], work);
    order.first_depth[k] = depths.first;
    order.second_depth[k] = depths.second;
  });
  if (work.stop != nullptr && *work.stop) throw Stopped();

  const auto difference = [&](std::size_t k) { return order.first_depth[k] - order.second_depth[k]; };
  std::optional<std::size_t> before;
  for (std::size_t k = 0; k < count; ++k) {
    if (std::abs(difference(k)) < alike) continue;
    if (before && std::signbit(difference(*before)) != std::signbit(difference(k))) {
      constexpr double close = 5e-3;
      std::uintmax_t passes = 60;
      const auto [lower, upper] = boost::math::tools::toms748_solve(
          [&](double activation) { return depths_at(two, grid, effect, activation, work).difference(); },
          order.activation[*before], order.activation[k], difference(*before), difference(k),
          [](double a, double b) { return b - a <= close * b; }, passes);
      const PairOfDepths there = depths_at(two, grid, effect, 0.5 * (lower + upper), work);
      order.turns.push_back({lower, upper, 0.5 * (there.first + there.second), difference(k) > 0});
    }
    before = k;
  }
  return order;
}

}  // namespace dryfront
