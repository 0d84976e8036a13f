#include "studies/search/finder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cassert>
#include <cmath>

#include "simulation/run.hpp"

namespace dryfront {

namespace {

constexpr double mm = 1e-3;
constexpr double least_setting = 1, greatest_setting = 500;
constexpr double depth_tolerance = 2e-3;
constexpr std::uintmax_t most_passes = 60;

// Keeps the nearest points on both sides, and the point whose value is nearest to the wanted one.
class Bracket {
 public:
  explicit Bracket(const Search& search) : search_(search) {}

  // Function minus wanted, 0 when within the tolerance.
  double at(double x) {
    const double value = search_.function(x);
    ++found_.runs;
    const double excess = value - search_.wanted;
    if (std::abs(excess) <= search_.tolerance * std::abs(search_.wanted)) {
      settled_ = true;
      found_.value = x;
      found_.reached = value;
      return 0;
    }
    if (excess < 0 && (below_ == 0 || x > below_)) {
      below_ = x;
      value_below_ = value;
    }
    if (excess > 0 && (above_ == 0 || x < above_)) {
      above_ = x;
      value_above_ = value;
    }
    return excess;
  }

  bool settled() const { return settled_; }
  double value_below() const { return value_below_; }
  double value_above() const { return value_above_; }
  Found found() {
    found_.lower = below_ > 0 ? below_ : found_.value;
    found_.upper = above_ > 0 ? above_ : found_.value;
    return found_;
  }

 private:
  const Search& search_;
  Found found_;
  bool settled_ = false;
  double below_ = 0, above_ = 0, value_below_ = 0, value_above_ = 0;
};

double greatest(const std::vector<double>& values) { return *std::max_element(values.begin(), values.end()); }

}  // namespace

double setting_of(const Source& source) { return source.kind == SourceKind::voltage ? source.rms : source.setting; }

Source with_setting(const Source& source, double setting) {
  Source changed = source;
  if (source.kind == SourceKind::voltage) {
    changed.rms = setting;
    return changed;
  }
  for (double& power : changed.power) power *= setting / source.setting;
  changed.setting = setting;
  return changed;
}

const char* setting_key(const Source& source) { return source.kind == SourceKind::voltage ? "rms_V" : "setting_W"; }

ModeRecord run_alone(const Case& c, const Grid& grid, const Mode& mode, const SearchWork& work) {
  Case alone = c;
  alone.modes = {mode};
  Observer observer;
  observer.stop = work.stop;
  ModeRecord record = std::move(run(alone, grid, observer, 1).front());
  if (!record.completed) throw Stopped();
  if (work.on_run) work.on_run();
  return record;
}

Found find_rising(const Search& search) {
  assert(0 < search.from && search.from < search.to && search.ratio > 1);
  Bracket bracket(search);
  double lower = search.from;
  double excess = bracket.at(lower);
  if (bracket.settled()) return bracket.found();
  if (excess > 0) {
    throw NotFound(
        fmt::format("at {:.4g}, the lowest that is tried, it is {:.4g} already", lower, bracket.value_above()));
  }
  double best = bracket.value_below();
  double best_at = lower;
  double excess_below = excess;
  for (double upper = lower; upper < search.to;) {
    upper = std::min(search.to, lower * search.ratio);
    excess = bracket.at(upper);
    if (bracket.settled()) return bracket.found();
    if (excess > 0) {
      std::uintmax_t passes = most_passes;
      // Closer than this in x it is a jump and not a slope.
      const auto close = [](double a, double b) { return std::abs(b - a) <= 1e-6 * std::abs(b); };
      boost::math::tools::toms748_solve([&](double x) { return bracket.at(x); }, lower, upper, excess_below, excess,
                                        close, passes);
      if (bracket.settled()) return bracket.found();
      const Found found = bracket.found();
      throw NotFound(fmt::format("it jumps from {:.4g} to {:.4g} between {:.6g} and {:.6g}", bracket.value_below(),
                                 bracket.value_above(), found.lower, found.upper));
    }
    if (search.wanted + excess > best) {
      best = search.wanted + excess;
      best_at = upper;
    }
    lower = upper;
    excess_below = excess;
  }
  throw NotFound(fmt::format("up to {:.4g}, tried in steps of {:.0f} %, it is {:.4g} at most, at {:.4g}", search.to,
                             100 * (search.ratio - 1), best, best_at));
}

Found find_setting(const Case& c, const Grid& grid, std::size_t mode, std::size_t effect, double depth,
                   const SearchWork& work) {
  Search search;
  search.function = [&](double setting) {
    Mode turned = c.modes[mode];
    turned.source = with_setting(turned.source, setting);
    return run_alone(c, grid, turned, work).effects[effect].depth / mm;
  };
  search.wanted = depth / mm;
  search.tolerance = depth_tolerance;
  search.from = least_setting;
  search.to = greatest_setting;
  return find_rising(search);
}

Found find_activation(const Case& c, const Grid& grid, std::size_t mode, std::size_t effect, double depth,
                      double longest, const SearchWork& work) {
  Search search;
  search.function = [&](double activation) {
    Mode timed = c.modes[mode];
    timed.activation = activation;
    return run_alone(c, grid, timed, work).effects[effect].depth / mm;
  };
  search.wanted = depth / mm;
  search.tolerance = depth_tolerance;
  search.from = 0.1;
  search.to = std::max(longest, 2 * search.from);
  search.ratio = 1.5;
  return find_rising(search);
}

Found find_setting_below_arcing(const Case& c, const Grid& grid, std::size_t mode, const SearchWork& work) {
  constexpr double lowest = 0.1, ratio = 1.25, close = 2e-3;
  Found found;
  double peak = 0;
  const auto strikes = [&](double setting) {
    Mode turned = c.modes[mode];
    turned.source = with_setting(turned.source, setting);
    const ModeRecord record = run_alone(c, grid, turned, work);
    ++found.runs;
    peak = greatest(record.trace.peak);
    return !std::isnan(record.arcing);
  };
  if (strikes(lowest)) throw NotFound(fmt::format("it strikes at {:g} already", lowest));
  found.lower = lowest;
  found.reached = peak;
  while (true) {
    if (found.lower >= greatest_setting) throw NotFound(fmt::format("it does not strike up to {:g}", greatest_setting));
    const double next = std::min(greatest_setting, ratio * found.lower);
    if (strikes(next)) {
      found.upper = next;
      break;
    }
    found.lower = next;
    found.reached = peak;
  }
  // Striking is yes or no, which leaves halving; in the logarithm, since a setting is.
  while (found.upper > (1 + close) * found.lower) {
    const double middle = std::sqrt(found.lower * found.upper);
    if (strikes(middle)) {
      found.upper = middle;
    } else {
      found.lower = middle;
      found.reached = peak;
    }
  }
  found.value = found.lower;
  return found;
}

}  // namespace dryfront
