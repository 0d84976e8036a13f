#include "physics/power_load.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cassert>
#include <cmath>
#include <cstdint>

namespace dryfront {

namespace {

constexpr int per_decade = 30;

std::vector<double> even_loads() {
  const int count = static_cast<int>(std::lround(per_decade * std::log10(greatest_load / least_load))) + 1;
  std::vector<double> loads;
  for (int k = 0; k < count; ++k) loads.push_back(least_load * std::pow(10, static_cast<double>(k) / per_decade));
  loads.back() = greatest_load;
  return loads;
}

// The loads between two neighbours of `loads` at which `function` of the load changes its sign.
template <class Function>
void add_roots(const Function& function, const std::vector<double>& loads, std::vector<double>& roots) {
  for (std::size_t k = 0; k + 1 < loads.size(); ++k) {
    const double before = function(loads[k]), after = function(loads[k + 1]);
    if (!(before * after < 0)) continue;
    std::uintmax_t passes = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(function, loads[k], loads[k + 1], before, after,
                                                               boost::math::tools::eps_tolerance<double>(), passes);
    roots.push_back(0.5 * (low + high));
  }
}

// Where the characteristic meets a bound, or one bound the other; those that the other bound cuts off as well, where
// the curve has no corner.
std::vector<double> corners(const Source& source, double crest_factor, const std::vector<double>& even) {
  const SourceBounds bounds = source_bounds(source, crest_factor);
  const bool of_voltage = std::isfinite(bounds.rms), of_current = std::isfinite(bounds.current);
  std::vector<double> found;
  if (of_voltage) add_roots([&](double load) { return unlimited_voltage(source, load) - bounds.rms; }, even, found);
  if (of_current) {
    add_roots([&](double load) { return unlimited_voltage(source, load) - bounds.current * load; }, even, found);
  }
  if (of_voltage && of_current) found.push_back(bounds.rms / bounds.current);
  if (source.kind == SourceKind::unregulated) found.push_back(source.rated_load);
  if (source.kind == SourceKind::table) found.insert(found.end(), source.load.begin(), source.load.end());
  return found;
}

}  // namespace

LoadPoint delivered_into(const Source& source, double load, double crest_factor) {
  assert(load > 0 && std::isfinite(load));
  const double rms = source_voltage(source, load, crest_factor);
  return {load, rms * rms / load, rms, crest_factor * rms, rms / load};
}

std::vector<LoadPoint> power_load_curve(const Source& source, double crest_factor) {
  std::vector<double> loads = even_loads();
  for (const double load : corners(source, crest_factor, loads)) {
    if (load > least_load && load < greatest_load) loads.push_back(load);
  }
  std::sort(loads.begin(), loads.end());
  // A corner found twice, or one of the even loads, differs by round-off.
  const auto same = [](double a, double b) { return b - a <= 1e-9 * a; };
  loads.erase(std::unique(loads.begin(), loads.end(), same), loads.end());
  std::vector<LoadPoint> curve;
  curve.reserve(loads.size());
  for (const double load : loads) curve.push_back(delivered_into(source, load, crest_factor));
  return curve;
}

}  // namespace dryfront
