#include "physics/damped_half_cycle.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace dryfront {

using std::numbers::pi;

DampedHalfCycle::DampedHalfCycle(double damping) : damping_(damping), peak_phase_(std::atan2(1.0, damping)) {}

double DampedHalfCycle::at(double phase) const { return std::exp(-damping_ * phase) * std::sin(phase); }

// ln v is concave and v <= sin: from asin(level), left of the root, Newton's method on ln v rises to it.
double DampedHalfCycle::rise_to(double level) const {
  double p = std::min(std::asin(std::min(level, 1.0)), peak_phase_);
  if (p <= 0 || damping_ == 0) return p;
  for (int iteration = 0; iteration < 60; ++iteration) {
    const double slope = 1 / std::tan(p) - damping_;
    if (slope <= 0) return peak_phase_;
    const double change = (std::log(level / std::sin(p)) + damping_ * p) / slope;
    p += change;
    if (change <= 1e-15 * p) break;
  }
  return std::min(p, peak_phase_);
}

// As rise_to, from the right.
double DampedHalfCycle::fall_to(double level) const {
  double p = pi - std::asin(std::min(level, 1.0));
  if (level <= 0 || damping_ == 0) return p;
  for (int iteration = 0; iteration < 60; ++iteration) {
    const double slope = 1 / std::tan(p) - damping_;
    if (slope >= 0) return peak_phase_;
    const double change = (std::log(level / std::sin(p)) + damping_ * p) / slope;
    p += change;
    if (change >= -1e-15 * p) break;
  }
  return std::max(p, peak_phase_);
}

// int v^power dp, power 0 to 3, with sin^2 = (1 - cos 2p)/2 and sin^3 = (3 sin p - sin 3p)/4.
double DampedHalfCycle::integral(int power, double from, double to) const {
  const double d = power * damping_;
  const auto of_sine = [&](double m) {
    const auto at = [&](double p) { return std::exp(-d * p) * (d * std::sin(m * p) + m * std::cos(m * p)); };
    return (at(from) - at(to)) / (d * d + m * m);
  };
  switch (power) {
    case 0:
      return to - from;
    case 1:
      return of_sine(1);
    case 2: {
      const auto of_cosine = [&](double p) { return std::exp(-d * p) * (2 * std::sin(2 * p) - d * std::cos(2 * p)); };
      const double steady = d > 0 ? -std::exp(-d * from) * std::expm1(-d * (to - from)) / d : to - from;
      return 0.5 * (steady - (of_cosine(to) - of_cosine(from)) / (d * d + 4));
    }
    case 3:
      return 0.75 * of_sine(1) - 0.25 * of_sine(3);
    default:
      assert(false);
      return 0;
  }
}

}  // namespace dryfront
