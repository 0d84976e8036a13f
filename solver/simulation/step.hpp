// One time step of one mode. step() reads like docs/model.md, in the same order.
#pragma once

#include <vector>

#include "numerics/grid.hpp"
#include "physics/contact.hpp"
#include "physics/damage.hpp"
#include "physics/electric.hpp"
#include "physics/heat.hpp"
#include "physics/water.hpp"
#include "simulation/case.hpp"
#include "simulation/state.hpp"

namespace dryfront {

TissueRows tissue_rows(const Specimen& specimen, const Grid& grid);

// The terms of a step's energy and water balance, and how far its prediction was off.
struct StepReport {
  bool converged = true;
  const char* failed = "";  // which solve, when not converged
  double residual = 0;      // its residual
  double error = 0;         // greatest difference between predicted and final temperature [K]
  int heat_iterations = 0;  // of the linear solver in both heat stages, summed over the renewals of the boiling set
  Ledger ledger;            // of this step alone
};

class ModeStepper {
 public:
  ModeStepper(const Case& c, const Grid& grid, const Mode& mode);

  State initial_state();
  // Finds the electric state and the heating for the present fields; current_on false looks with a vanishing voltage and
  // heats nothing. Forgets the rates: called at the start and whenever the current is switched.
  // Returns false when the electric solve did not converge.
  bool switch_current(State& state, bool current_on);
  // Finds the electric state and the heating anew for the fields as they are, keeping the rates. A step leaves them as of
  // its predicted end; where a step is refused, that difference must not stand in the way of a shorter one.
  bool renew_current(State& state);
  // Second order in time: two implicit stages for heat (L-stable, gamma = 1 - 1/sqrt 2), the heating by the trapezoidal
  // rule between the start and the predicted end of the step. Moisture enters at a constant rate within the step.
  StepReport step(const State& now, Ticks duration, State& next);

  double crest_factor() const { return crest_factor_; }
  double longest_step() const { return longest_step_; }  // limited by the electrode's own time constant [s]
  double wet_share(const State& state);                  // area mean of the contact's wet coverage
  double eschar_share(const State& state) const;         // area mean
  double stored_heat(const State& state) const;          // sum of C(s)(T - T_b) [J]
  double stored_water(const State& state) const;         // [kg]
  const Grid& grid() const { return grid_; }

 private:
  bool conduct(const State& fields, bool current_on, ElectricState& electric);
  void heat_from_current(const ElectricState& electric, bool current_on, std::vector<double>& source,
                         double& spark_loss) const;
  void material_at_middle(const State& now, double dt);
  void prepare_enthalpy(const State& now, double share);
  void grow_eschar(const State& now, double dt, const ElectricState& start, const ElectricState& end,
                   std::vector<double>& eschar) const;
  void add_outlets(double duration, const std::vector<double>& temperature, Ledger& ledger) const;

  const Grid& grid_;
  const Physics& physics_;
  const Electrode& electrode_;
  const Specimen& specimen_;
  TissueRows rows_;
  ContactGeometry contact_;
  double crest_factor_, striking_crest_factor_, breakdown_crest_factor_;
  StrikingTable striking_;
  Source source_;
  Source probe_source_;  // a vanishing voltage
  std::vector<DamagePairRates> pairs_;
  ElectricSolver electric_solver_;
  HeatStage heat_stage_;
  HeatOperator heat_;
  EnthalpyLaw enthalpy_;
  HeatBoundaries boundaries_;
  Moisture moisture_;
  bool moisture_moves_ = false;
  bool perfused_ = false;
  bool current_on_ = false;
  double tolerance_;
  double longest_step_;
  double least_heated_ = 0;  // heat capacity that the error of a step is spread over at least [J/K]
  std::vector<double> volume_, conductivity_, breakdown_, conduction_wet_, perfusion_, metabolic_;
  std::vector<ContactLaw> laws_;
  std::vector<double> known_, heat_gained_, face_temperature_, conducted_, stage_temperature_, water_inflow_,
      enthalpy_inflow_, stage_water_;
  State predicted_;
};

}  // namespace dryfront
