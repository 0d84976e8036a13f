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

  // After a step of the given length [s] that stands. One that an event cut short says nothing against the wanted
  // length.
  void accepted(double length, double error) {
    const double next = length * factor(error);
    wanted_ = std::min(longest_, length < wanted_ ? std::max(wanted_, next) : next);
  }
  // After a step whose error was too great; returns the wanted length.
  double rejected(double length, double error) { return wanted_ = std::min(longest_, length * factor(error)); }
  // After a solve that did not converge; returns the wanted length.
  double failed(double length) { return wanted_ = 0.25 * length; }
  // At the start and after a switch of the current.
  void restart() { wanted_ = std::min(longest_, first); }

  // Goes on as another control left off, see wanted().
  void go_on(double wanted) { wanted_ = wanted; }

  double wanted() const { return wanted_; }

  static constexpr double first = 1e-3;     // [s]
  static constexpr double shortest = 1e-7;  // below it the computation has broken down [s]

 private:
  double factor(double error) const {
    constexpr double safety = 0.75;
    return error > 0 ? std::clamp(safety * std::sqrt(allowed_ / error), 0.2, 2.0) : 2.0;
  }

  double allowed_;
  double longest_;
  double wanted_ = first;
};

}  // namespace dryfront
