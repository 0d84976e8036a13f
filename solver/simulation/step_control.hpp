// Chooses the next step from the error of the last one.
#pragma once

#include <algorithm>
#include <cmath>

namespace dryfront {

// The prediction of a step is off by an amount proportional to the square of its length, so that
// the wanted length is  length * safety * (allowed/error)^(1/2),  changed by a bounded factor at a time.
class StepControl {
 public:
  StepControl(double allowed_error, double longest) : allowed_(allowed_error), longest_(longest) {}

  bool accept(double error) const { return error <= allowed_; }

  // Records the error of a step of the given length [s]; returns the next wanted length [s].
  double next(double length, double error) {
    const double factor = error > 0 ? 0.85 * std::sqrt(allowed_ / error) : 3.0;
    wanted_ = std::min(longest_, length * std::clamp(factor, 0.2, 2.0));
    return wanted_;
  }
  // After a solve that did not converge.
  double shorten(double length) { return wanted_ = 0.25 * length; }
  // At the start and after a switch of the current.
  void restart() { wanted_ = std::min(longest_, first); }

  double wanted() const { return wanted_; }

  static constexpr double first = 1e-3;     // [s]
  static constexpr double shortest = 1e-7;  // below it the computation has broken down [s]

 private:
  double allowed_;
  double longest_;
  double wanted_ = first;
};

}  // namespace dryfront
