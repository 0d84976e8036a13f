#include "physics/source.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>

namespace dryfront {

namespace {

double table_power(const Source& source, double load) {
  const std::vector<double>& at = source.load;
  assert(!at.empty() && at.size() == source.power.size());
  if (load <= at.front()) return source.power.front();
  if (load >= at.back()) return source.power.back();
  const auto right = static_cast<std::size_t>(std::upper_bound(at.begin(), at.end(), load) - at.begin());
  const std::size_t left = right - 1;
  const double share = std::log(load / at[left]) / std::log(at[right] / at[left]);
  return source.power[left] + share * (source.power[right] - source.power[left]);
}

}  // namespace

double unlimited_voltage(const Source& source, double load) {
  switch (source.kind) {
    case SourceKind::constant_power:
    case SourceKind::temperature:
      return std::sqrt(source.setting * load);
    // Open-circuit voltage over R_m and R in series; written so that R = 0 and R = infinity come out right.
    case SourceKind::unregulated:
      return 2 * std::sqrt(source.setting * source.rated_load) / (1 + source.rated_load / load);
    case SourceKind::table:
      return std::sqrt(table_power(source, load) * load);
    case SourceKind::voltage:
      return source.rms;
  }
  assert(false);
  return 0;
}

SourceBounds source_bounds(const Source& source, double crest_factor) {
  constexpr double none = std::numeric_limits<double>::infinity();
  SourceBounds bounds{source.peak_limit > 0 ? source.peak_limit / crest_factor : none,
                      source.current_limit > 0 ? source.current_limit : none};
  if (source.flat.empty()) return bounds;
  assert(source.kind == SourceKind::constant_power && source.flat.size() == 2 && source.flat[0] < source.flat[1]);
  bounds.rms = std::min(bounds.rms, std::sqrt(source.setting * source.flat[1]));
  bounds.current = std::min(bounds.current, std::sqrt(source.setting / source.flat[0]));
  return bounds;
}

double source_voltage(const Source& source, double load, double crest_factor) {
  assert(load >= 0 && crest_factor >= 1);
  const SourceBounds bounds = source_bounds(source, crest_factor);
  const double voltage = std::min(unlimited_voltage(source, load), bounds.rms);
  return std::isfinite(bounds.current) ? std::min(voltage, bounds.current * load) : voltage;
}

}  // namespace dryfront
