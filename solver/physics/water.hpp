// Moisture: water drawn through the tissue by capillary diffusion.
#pragma once

#include <span>
#include <vector>

#include "numerics/elliptic_solver.hpp"
#include "physics/contact.hpp"
#include "physics/face_flow.hpp"
#include "physics/pressed_water.hpp"

namespace dryfront {

// W0 ds/dt = div(W0 D grad s) - m_boil. The flow within a step is that at its middle, found implicitly with the
// boil-off of the last step (second order); where a cell would be drained below zero or filled above its limit, the
// flow of an implicit Euler step is taken instead, which keeps s within its bounds. The water that moves carries its
// enthalpy, so that energy is conserved although the heat capacity depends on s: counted from T_b, a mass crossing a
// face takes c (T_upstream - T_b) with it, c = (C_wet - C_dry)/W0 of its tissue. A dry cell at or above T_b stays dry:
// what flows into it boils within the step. Water that heated tissue presses out (PressedWater) moves in the same
// solve, since both draw on the same cells.
class Moisture {
 public:
  // When in a step the flow is taken. That of the end alone (an implicit Euler step, first order) damps what comes and
  // goes from step to step, as vapour does between small cells.
  enum class FlowTime { middle, end };
  //   most           how much water a tissue can hold, one value per tissue of `rows` [-]
  //   counts_as_dry  no more water than that is none [-]
  Moisture(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact, std::span<const double> most,
           double counts_as_dry, FlowTime taken);

  struct Report {
    int iterations = 0;
    bool converged = false;
  };

  // What flows into each cell within dt: water as a change of s, enthalpy counted from T_b [J]. Both zero where nothing
  // differs. boil_rate: of s, in the last step, less what vapour brought [1/s].
  //   pressed   adds the flow of pressed water, out of the tissue among it; nothing without
  Report flow(double dt, std::span<const double> water, std::span<const double> boil_rate,
              std::span<const double> temperature, const PressedWater* pressed, std::span<double> inflow,
              std::span<double> enthalpy);
  // What the last flow pressed out of the tissue, and its enthalpy counted from T_b   [kg], [J]
  double pressed_out() const { return pressed_out_; }
  double pressed_heat() const { return pressed_heat_; }

 private:
  // Solves for the water after `time`; the flow of that moment lasts for dt.
  Report flow_at(double time, double dt, std::span<const double> water, std::span<const double> boil_rate,
                 std::span<const double> temperature, const PressedWater* pressed);
  void prepare();
  // Adds pressed water to the system: its conductances, and what its equilibrium drives whatever the water. Out of the
  // tissue it goes where a cell holds more than that at the start.
  void press(const PressedWater& pressed, std::span<const double> start);
  // The flow through the faces between cells within dt, at the rate of the solution.
  void set_flow(double dt, const PressedWater* pressed);
  // What goes out of the tissue within dt, at the rate of the solution.
  void set_outflow(double dt, std::span<const double> water, const PressedWater& pressed);
  // Takes it from the cells, as far as they have it.
  void let_out(std::span<const double> water, std::span<const double> temperature, std::span<double> inflow,
               std::span<double> enthalpy);
  // What the flow brings into each cell.
  void sum_up(std::span<const double> temperature, std::span<double> inflow, std::span<double> enthalpy) const;
  // Cuts the flow where it would drain a cell below zero, which pressure can; false where it does so nowhere.
  bool bound_losses(std::span<const double> water, std::span<const double> inflow);
  // Cuts the flow where it would fill a cell above its limit; false where it does so nowhere.
  bool bound_gains(double dt, std::span<const double> water, std::span<const double> boil_rate,
                   std::span<const double> inflow);

  const Grid& grid_;
  const TissueRows& rows_;
  std::vector<double> most_;         // per row [-]
  std::vector<double> diffusivity_;  // the same [m2/s]
  double counts_as_dry_;
  FlowTime taken_;
  EllipticSolver solver_;
  FluxOperator op_;  // W0 D: mass flow per difference in s [kg/s]
  FluxOperator system_;
  std::vector<double> capacity_;  // W0 volume [kg]
  std::vector<double> heat_wet_;  // C_wet volume [J/K]
  std::vector<double> right_side_, solved_;
  std::vector<double> potential_;              // down which the flow goes [-]
  std::vector<double> out_;                    // of the tissue by the last flow, where it can [kg]
  double pressed_out_ = 0, pressed_heat_ = 0;  // by the last flow [kg], [J]
  FaceFlow flow_;
  FlowBounds bounds_;
  std::vector<double> allowed_;  // for a cell to lose or to gain [kg]
};

}  // namespace dryfront
