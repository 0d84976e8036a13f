// By which a step is judged: how far the predicted end was off.
#pragma once

#include <vector>

#include "simulation/domain.hpp"

namespace dryfront {

class PredictionError {
 public:
  explicit PredictionError(const Domain& domain);

  // Root mean square over what has been heated, weighted with heat capacity [J/K]; the least volume it is spread over is
  // a tenth of that below the contact   [K]
  double of_temperature(const std::vector<double>& heat_capacity, const std::vector<double>& predicted,
                        const std::vector<double>& found) const;
  // The load against its extrapolation over dt [s], 1 % counting as 1 K; 0 without the current   [K]
  static double of_load(const State& now, const State& next, double dt);

 private:
  double start_;         // temperature at the start [C]
  double least_heated_;  // [J/K]
};

}  // namespace dryfront
