// One time step of one mode. step() reads like docs/model.md, in the same order.
#pragma once

#include <optional>
#include <vector>

#include "physics/damage.hpp"
#include "simulation/domain.hpp"
#include "simulation/electric_stage.hpp"
#include "simulation/heat_stages.hpp"
#include "simulation/prediction_error.hpp"
#include "simulation/state.hpp"
#include "simulation/step_report.hpp"
#include "simulation/temperature_hold.hpp"
#include "simulation/vapour_flow.hpp"
#include "simulation/water_flow.hpp"

namespace dryfront {

class ModeStepper {
 public:
  ModeStepper(const Case& c, const Grid& grid, const Mode& mode);
  ModeStepper(const ModeStepper&) = delete;  // its parts point at its domain
  ModeStepper& operator=(const ModeStepper&) = delete;

  State initial_state() const;
  // Switches the current and finds the electric state and the heating for the present fields; without the current a
  // vanishing voltage looks at the load and heats nothing. Forgets the rates: called at the start and at every switch.
  SolveFailure switch_current(State& state, bool current_on);
  // Finds the electric state and the heating anew for the fields as they are, keeping the rates. A step leaves them as
  // of its predicted end; where a step is refused, that difference must not stand in the way of a shorter one.
  SolveFailure renew_current(State& state);
  // A step of `duration` from `now`: a function of these two alone. `next` holds the result if the report says
  // converged, else nothing of use.
  //
  // Second order in time: two implicit stages for heat, the heating by the trapezoidal rule between the start and the
  // predicted end of the step. Moisture enters at a constant rate within the step; what boils off makes room for it,
  // and where less boiled than in the last step and a cell ended with more water than it can hold, the step is taken
  // again without that room.
  StepReport step(const State& now, Ticks duration, State& next);

  const Domain& domain() const { return domain_; }
  double wet_share(const State& state) { return electric_stage_.wet_share(state.fields); }  // see ElectricStage
  Stored stored(const State& state) const {
    return {stored_heat(domain_, state.fields), stored_water(domain_, state.fields)};
  }

 private:
  StepReport attempt(const State& now, Ticks duration, WaterFlow::Room room, State& next);
  SolveFailure find_current(const Fields& fields, State& state);
  void predict_coagulation(const State& now, double dt);
  void accumulate_coagulation(const Fields& before, const Fields& after, double dt, std::vector<double>& omega) const;
  void predict_eschar(const State& now, double dt);
  void grow_eschar(const State& now, double dt, State& next) const;
  double prediction_error(const State& now, const State& next, double dt) const;
  void accumulate_damage(const State& now, double dt, State& next) const;
  void set_rates(const State& now, double dt, State& next) const;

  Domain domain_;
  ElectricStage electric_stage_;
  WaterFlow water_flow_;
  VapourFlow vapour_flow_;
  HeatStages heat_stages_;
  PredictionError prediction_error_;
  TemperatureHold hold_;
  std::vector<DamagePairRates> pairs_;
  std::vector<std::optional<DamagePairRates>> coagulation_pairs_;  // per row; empty where no tissue has its own
  Fields predicted_;                                               // at the end of the step
};

}  // namespace dryfront
