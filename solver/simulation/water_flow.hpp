// The moisture part of a step: what flows into every cell, at a constant rate from its start to its end.
#pragma once

#include <optional>
#include <vector>

#include "physics/pressed_water.hpp"
#include "physics/water.hpp"
#include "simulation/domain.hpp"
#include "simulation/step_report.hpp"

namespace dryfront {

class WaterFlow {
 public:
  explicit WaterFlow(const Domain& domain);

  // What makes room for what flows in: what boils off at the rate of the last step, or nothing.
  enum class Room { boil_off, none };
  // The flow of a step of dt [s] from `now`.
  SolveFailure solve(const State& now, double dt, Room room);
  // Whether some cell holds more water than it has room for.
  bool overfull(const Fields& fields) const;

  const std::vector<double>& water() const { return water_; }        // as a change of s [-]
  double pressed_out() const { return moisture_.pressed_out(); }     // out of the tissue [kg]
  double pressed_heat() const { return moisture_.pressed_heat(); }   // with it, counted from T_b [J]
  const std::vector<double>& enthalpy() const { return enthalpy_; }  // counted from T_b [J]

 private:
  const Domain& domain_;
  TissueRows rows_;  // of the domain, without capillary flow where that is switched off
  Moisture moisture_;
  std::optional<PressedWater> pressed_;
  std::vector<double> middle_temperature_;
  bool moves_ = false;  // the switch is on and some tissue lets water through
  std::vector<double> water_, enthalpy_;
  std::vector<double> loss_;  // of s, by boil-off and vapour [1/s]
};

}  // namespace dryfront
