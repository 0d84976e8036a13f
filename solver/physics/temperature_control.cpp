#include "physics/temperature_control.hpp"

#include <algorithm>
#include <cassert>

namespace dryfront {

TemperatureControl temperature_control(double hold, double start, double reset_time, double most) {
  assert(hold > start && reset_time > 0);
  return {hold, most / (hold - start), reset_time, most};
}

double demanded_power(const TemperatureControl& control, double temperature, double integral) {
  return std::clamp(control.gain * (control.hold - temperature) + integral, 0.0, control.most);
}

double integral_after(const TemperatureControl& control, double integral, double before, double after, double dt) {
  const double missing = control.hold - 0.5 * (before + after);
  const double free = integral + control.gain * missing * dt / control.reset_time;
  // Beyond these the output would be past its bound.
  const double proportional = control.gain * (control.hold - after);
  const double least = std::min(integral, -proportional);
  const double greatest = std::max(integral, control.most - proportional);
  return std::clamp(free, least, greatest);
}

}  // namespace dryfront
