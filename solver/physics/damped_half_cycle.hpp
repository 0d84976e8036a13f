// One half cycle of a damped sine, in closed form.
#pragma once

namespace dryfront {

// v(p) = e^(-damping p) sin p at amplitude 1, in the phase p from 0 to pi; damping 0 is that of a sine.
class DampedHalfCycle {
 public:
  explicit DampedHalfCycle(double damping);

  double peak_phase() const { return peak_phase_; }  // [rad]
  double at(double phase) const;                     // v [-]
  double rise_to(double level) const;                // phase at which v first reaches a level, at most the peak's [rad]
  double fall_to(double level) const;  // phase at which v has fallen to a level, at least the peak's [rad]
  // int v^power dp, power 0 to 3; of an even power also beyond pi, where the half cycles that follow are its own.
  double integral(int power, double from, double to) const;

 private:
  double damping_, peak_phase_;
};

}  // namespace dryfront
