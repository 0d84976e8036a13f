// By which a step is judged: how far the predicted end was off.
#pragma once

#include <vector>

#include "simulation/domain.hpp"

namespace dryfront {

class PredictionError {
 public:
  explicit PredictionError(const Domain& domain);

  // Root mean square over what has been heated, weighted with heat capacity [J/K]; the least volume it is spread over
  // is a tenth of that below the contact. A single cell counts a hundredth, and nothing counts above the temperature
  // up to which the model knows tissue: a thin cell that dries within the step heats at a rate that belongs to its
  // end, and would pass that temperature by hundreds of degrees   [K]
  double of_temperature(const std::vector<double>& heat_capacity, const std::vector<double>& predicted,
                        const std::vector<double>& found) const;
  // The same measure of heat that was moved after the stages had been solved, per cell [J]   [K]
  double of_moved_heat(const std::vector<double>& heat_capacity, const std::vector<double>& moved,
                       const std::vector<double>& found) const;
  // The load against its extrapolation over dt [s], 1 % counting as 1 K; 0 without the current. Above ten times the
  // load of the face in perfect contact it counts less, with the square: a dry contact takes next to no power, while
  // its load hangs on the last traces of water and would ask for microseconds.   [K]
  double of_load(const State& now, const State& next, double dt) const;

 private:
  double heated(const std::vector<double>& heat_capacity, const std::vector<double>& found) const;

  double start_;         // temperature at the start [C]
  double least_heated_;  // [J/K]
  double high_load_;     // ten times that of the face in perfect contact [ohm]
};

}  // namespace dryfront
