#include "simulation/temperature_hold.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace dryfront {

TemperatureHold::TemperatureHold(const Case& c, const Grid& grid, const Mode& mode) {
  const Source& source = mode.source;
  if (source.kind != SourceKind::temperature) return;
  const auto named = [&source](const Probe& probe) { return probe.name == source.probe; };
  const auto probe = std::find_if(c.probes.begin(), c.probes.end(), named);
  assert(probe != c.probes.end());
  probe_.emplace(grid, probe->r, probe->z);
  control_ = temperature_control(source.hold, c.specimen.start, source.reset_time, source.setting);
}

double TemperatureHold::seen(const Fields& fields) const {
  return probe_->at([&fields](std::size_t cell) { return fields.temperature[cell]; });
}

std::optional<double> TemperatureHold::demand(const Fields& fields, double integral) const {
  if (!probe_) return std::nullopt;
  return demanded_power(control_, seen(fields), integral);
}

double TemperatureHold::integral_after(const State& now, const Fields& after, double dt) const {
  if (!probe_ || !now.current_on) return now.control_integral;
  return dryfront::integral_after(control_, now.control_integral, seen(now.fields), seen(after), dt);
}

double TemperatureHold::prediction_error(const Fields& predicted, const Fields& found) const {
  return probe_ ? std::abs(seen(found) - seen(predicted)) : 0;
}

}  // namespace dryfront
