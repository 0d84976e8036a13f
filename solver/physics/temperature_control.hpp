// The controller of a source that holds a temperature: proportional and integral, with a bounded output.
#pragma once

namespace dryfront {

// P = gain (hold - T) + I within 0 and `most`, dI/dt = gain (hold - T)/reset_time. The integral part stands still while
// it would only push the output further past a bound (conditional integration, common practice, no source).
// The gain gives all the power at the temperature of the start, so that no number beside the time constant is needed.
// Where the specimen is one heat capacity C with a loss G per kelvin and reset_time = C/G, the zero cancels the pole:
// T then comes to `hold` like exp(-gain t/C), without overshoot (elementary).
struct TemperatureControl {
  double hold = 0;        // [C]
  double gain = 0;        // [W/K]
  double reset_time = 0;  // [s]
  double most = 0;        // [W]
};

// hold > start, most > 0, reset_time > 0.
TemperatureControl temperature_control(double hold, double start, double reset_time, double most);

// P at a temperature [C] with an integral part [W]   [W]
double demanded_power(const TemperatureControl& control, double temperature, double integral);

// The integral part after `dt` [s] in which the temperature went linearly from `before` to `after`   [W]
double integral_after(const TemperatureControl& control, double integral, double before, double after, double dt);

}  // namespace dryfront
