#include "studies/footing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <boost/math/tools/roots.hpp>
#include <cassert>
#include <cmath>
#include <exception>
#include <thread>

namespace dryfront {

namespace {

constexpr double searched_down = 16, searched_up = 16;  // as factors of the dial or the dwell of the case
constexpr double tight = 0.5 * footing_tolerance;

double mean_power(const DriveRecord& record, const Drive& drive) { return record.delivered / drive.dwell; }

std::string changed_text(const Drive& was, const Drive& is) {
  if (was.dwell != is.dwell) return fmt::format("{}: dwell_s = {:.5g} in place of {:g}", is.name, is.dwell, was.dwell);
  if (dial_of(was.source) == dial_of(is.source)) return is.name + " as in the case";
  return fmt::format("{}: {} = {:.5g} in place of {:g}", is.name, dial_key(is.source), dial_of(is.source),
                     dial_of(was.source));
}

// Turns the dial of the pair's second drive until `quantity` of its record is `pair.wanted`, and keeps that record.
void turn_dial(FootedPair& pair, const Grid& grid, double from, double to,
               const std::function<double(const DriveRecord&, const Drive&)>& quantity, bool falls,
               const SearchWork& work) {
  Drive& drive = pair.two.drives[1];
  const Drive was = drive;
  Search search;
  search.function = [&](double dial) {
    Drive turned = was;
    turned.source = with_dial(was.source, dial);
    DriveRecord record = run_alone(pair.two, grid, turned, work);
    const double value = quantity(record, turned);
    drive = turned;
    pair.second = std::move(record);
    return falls ? 1 / value : value;
  };
  search.wanted = falls ? 1 / pair.wanted : pair.wanted;
  search.tolerance = tight;
  search.from = from;
  search.to = to;
  // The search ends with the run that settles it, so drive and record are those found.
  find_rising(search);
  pair.held = quantity(pair.second, drive);
}

FootedPair same_dial(FootedPair pair, const Grid& grid, const SearchWork& work) {
  const Source& first = pair.two.drives[0].source;
  Source& second = pair.two.drives[1].source;
  if (first.kind == SourceKind::voltage || second.kind == SourceKind::voltage) {
    throw NotFound("a source of fixed voltage has no dial");
  }
  second = with_dial(second, first.dial);
  pair.second = run_alone(pair.two, grid, pair.two.drives[1], work);
  pair.wanted = first.dial;
  pair.held = second.dial;
  pair.unit = "W on the dial";
  return pair;
}

FootedPair same_power(FootedPair pair, const Grid& grid, const SearchWork& work) {
  pair.wanted = mean_power(pair.first, pair.two.drives[0]);
  pair.unit = "W on average";
  const Source source = pair.two.drives[1].source;
  // A dial in watts is never passed by the power, so that no lower one will do; the others start far below.
  const bool bounded =
      source.kind == SourceKind::regulated || source.kind == SourceKind::matched || source.kind == SourceKind::power;
  const double from = bounded ? pair.wanted * (1 - 0.5 * tight) : dial_of(source) / searched_down;
  turn_dial(pair, grid, from, searched_up * std::max(from, dial_of(source)), mean_power, false, work);
  return pair;
}

FootedPair same_dry_out(FootedPair pair, const Grid& grid, const SearchWork& work) {
  if (std::isnan(pair.first.dry_out)) {
    throw NotFound(fmt::format("the contact of {} does not dry out within its dwell", pair.first.name));
  }
  pair.wanted = pair.first.dry_out;
  pair.unit = "s to dry-out";
  const double dial = dial_of(pair.two.drives[1].source);
  const auto dry_out = [](const DriveRecord& record, const Drive&) {
    return std::isnan(record.dry_out) ? std::numeric_limits<double>::infinity() : record.dry_out;
  };
  turn_dial(pair, grid, dial / searched_down, dial * searched_up, dry_out, true, work);
  return pair;
}

FootedPair same_energy(FootedPair pair, const Grid& grid, const SearchWork& work) {
  pair.wanted = pair.first.delivered;
  pair.unit = "J";
  Drive& drive = pair.two.drives[1];
  const double of_case = drive.dwell;
  Search search;
  search.function = [&](double dwell) {
    drive.dwell = dwell;
    pair.second = run_alone(pair.two, grid, drive, work);
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

// Both drives with one dwell; first depth minus second.
struct PairOfDepths {
  double first = 0, second = 0;
  double difference() const { return first - second; }
};

PairOfDepths depths_at(const Case& two, const Grid& grid, std::size_t effect, double dwell, const SearchWork& work) {
  const auto depth = [&](std::size_t k) {
    Drive drive = two.drives[k];
    drive.dwell = dwell;
    return run_alone(two, grid, drive, work).effects[effect].depth;
  };
  return {depth(0), depth(1)};
}

}  // namespace

std::string_view word(Footing footing) {
  switch (footing) {
    case Footing::as_given:
      return "as_given";
    case Footing::same_dial:
      return "same_dial";
    case Footing::mean_power:
      return "mean_power";
    case Footing::energy:
      return "energy";
    case Footing::dry_out:
      return "dry_out";
  }
  return "";
}

std::string_view words(Footing footing) {
  switch (footing) {
    case Footing::as_given:
      return "the drives as they stand";
    case Footing::same_dial:
      return "the same dial";
    case Footing::mean_power:
      return "the same mean power";
    case Footing::energy:
      return "the same energy";
    case Footing::dry_out:
      return "the same time to dry out";
  }
  return "";
}

FootedPair on_footing(const Case& two, const Grid& grid, Footing footing, const SearchWork& work) {
  assert(two.drives.size() == 2 && footing != Footing::as_given);
  FootedPair pair;
  pair.two = two;
  pair.first = run_alone(two, grid, two.drives[0], work);
  switch (footing) {
    case Footing::as_given:
      break;
    case Footing::same_dial:
      pair = same_dial(std::move(pair), grid, work);
      break;
    case Footing::mean_power:
      pair = same_power(std::move(pair), grid, work);
      break;
    case Footing::energy:
      pair = same_energy(std::move(pair), grid, work);
      break;
    case Footing::dry_out:
      pair = same_dry_out(std::move(pair), grid, work);
      break;
  }
  pair.changed = changed_text(two.drives[1], pair.two.drives[1]);
  return pair;
}

OrderOverDwell order_over_dwell(const Case& two, const Grid& grid, std::size_t effect, double shortest, double longest,
                                int points, double alike, int threads, const SearchWork& work) {
  assert(two.drives.size() == 2 && points >= 2 && 0 < shortest && shortest < longest);
  OrderOverDwell order;
  const auto count = static_cast<std::size_t>(points);
  order.dwell.resize(count);
  order.first_depth.resize(count);
  order.second_depth.resize(count);
  for (std::size_t k = 0; k < count; ++k) {
    order.dwell[k] = shortest * std::pow(longest / shortest, static_cast<double>(k) / static_cast<double>(count - 1));
  }
  // The longest first, so that the threads end together.
  std::atomic<std::size_t> taken = 0;
  std::vector<std::exception_ptr> failure(count);
  const auto worker = [&] {
    for (std::size_t n = taken++; n < count; n = taken++) {
      const std::size_t k = count - 1 - n;
      try {
        const PairOfDepths depths = depths_at(two, grid, effect, order.dwell[k], work);
        order.first_depth[k] = depths.first;
        order.second_depth[k] = depths.second;
      } catch (...) {  // rethrown below: an exception may not leave a thread
        failure[k] = std::current_exception();
        taken = count;
      }
    }
  };
  {
    std::vector<std::jthread> workers;
    for (int k = 1; k < std::max(1, threads); ++k) workers.emplace_back(worker);
    worker();
  }
  for (const std::exception_ptr& f : failure) {
    if (f) std::rethrow_exception(f);
  }

  const auto difference = [&](std::size_t k) { return order.first_depth[k] - order.second_depth[k]; };
  std::optional<std::size_t> before;
  for (std::size_t k = 0; k < count; ++k) {
    if (std::abs(difference(k)) < alike) continue;
    if (before && std::signbit(difference(*before)) != std::signbit(difference(k))) {
      constexpr double close = 5e-3;
      std::uintmax_t passes = 60;
      const auto [lower, upper] = boost::math::tools::toms748_solve(
          [&](double dwell) { return depths_at(two, grid, effect, dwell, work).difference(); }, order.dwell[*before],
          order.dwell[k], difference(*before), difference(k), [](double a, double b) { return b - a <= close * b; },
          passes);
      const PairOfDepths there = depths_at(two, grid, effect, 0.5 * (lower + upper), work);
      order.turns.push_back({lower, upper, 0.5 * (there.first + there.second), difference(k) > 0});
    }
    before = k;
  }
  return order;
}

}  // namespace dryfront
