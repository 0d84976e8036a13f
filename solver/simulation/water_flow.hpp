// The moisture part of a step: what flows into every cell, at a constant rate from its start to its end.
#pragma once

#include <vector>

#include "physics/water.hpp"
#include "simulation/domain.hpp"
#include "simulation/step_report.hpp"

namespace dryfront {

class WaterFlow {
 public:
  explicit WaterFlow(const Domain& domain);

  // The flow of a step of dt [s] from `now`.
  SolveFailure solve(const State& now, double dt);

  const std::vector<double>& water() const { return water_; }        // as a change of s [-]
  const std::vector<double>& enthalpy() const { return enthalpy_; }  // counted from T_b [J]

 private:
  Moisture moisture_;
  bool moves_ = false;  // the switch is on and some tissue lets water through
  std::vector<double> water_, enthalpy_;
};

}  // namespace dryfront
