// The heat part of a step: two implicit stages, L-stable and second order, with boil-off inside them.
#pragma once

#include <numbers>
#include <vector>

#include "physics/heat.hpp"
#include "simulation/domain.hpp"
#include "simulation/step_report.hpp"
#include "simulation/vapour_flow.hpp"
#include "simulation/water_flow.hpp"

namespace dryfront {

// With H(T) the heat that flows into the cells at temperature T, q the heating and Y the heat gained since the start:
//   first stage    Y_1 = gamma dt [H(T_1) + q_1],                          to gamma dt, q_1 extrapolated
//   second stage   Y   = (1 - gamma) dt H(T_1) + gamma dt H(T) + dt q,     to dt, q by the trapezoidal rule
// gamma = 1 - 1/sqrt 2 (Alexander, SIAM J. Numer. Anal. 14 (1977) 1006; from memory). The functions are to be called in
// the order in which they stand.
class HeatStages {
 public:
  // allowed: error of a temperature that the solves may leave [K]
  HeatStages(const Domain& domain, double allowed);

  // Thermal conductivity, heat transfer to the electrode and perfusion, extrapolated from `now` to the middle of the
  // step.
  void set_material(const State& now, double dt);
  // Adds what vapour carries to the faces, and opens them.
  void open_to_vapour(const State& now, const WaterFlow& flow, double dt, VapourFlow& vapour);
  // What flows into every cell within the step: water as a change of s [-], enthalpy counted from T_b [J].
  struct Inflow {
    const std::vector<double>&water, &enthalpy;
  };
  // What the cells can take up, when the share gamma of the step's flow of water has come in, and when all of it has;
  // with vapour the latter is known after the first stage only.
  void let_water_in(const State& now, const Inflow& inflow);
  // Adds to the report the iterations and what left through the boundaries by then.
  SolveFailure first_stage(const State& now, double dt, StepReport& report);
  // The vapour that went with the heat of the first stage: what the cells can take up when so much has come by the end.
  void let_first_vapour_in(const State& now, double dt, VapourFlow& vapour);
  // Temperatures and water at the end, when the heat gained in the first stage goes on at its pace; no colder than all
  // that the tissue loses heat to.
  void predict_end(Fields& predicted);
  // Temperatures at the end, the electrode's among them; the prediction being the guess. The report as before.
  SolveFailure second_stage(const State& now, const Fields& predicted, double dt, State& next, StepReport& report);
  // The vapour that went with the heat of both stages: what the cells then hold, and are at. Gives back the heat of
  // what full or empty cells refuse: to the giver, where it may boil water off.
  void let_vapour_in(const State& now, double dt, VapourFlow& vapour, State& next);
  // What has boiled off by the end: water, its rate, and its mass and latent heat in the ledger; what condenses deeper
  // of it.
  void boil_off(double dt, State& next, Ledger& ledger);

  // Heat capacity of every cell with the water of the end, before boil-off [J/K].
  const std::vector<double>& heat_capacity_at_end() const { return at_end_.enthalpy.wet; }
  // How far the coldest cell lies below all that the tissue loses heat to, which heat alone does not do [K]
  double undershoot(const Fields& fields) const;
  void add_metabolic(double dt, Ledger& ledger) const;

 private:
  static constexpr double gamma = 1 - std::numbers::sqrt2 / 2;

  // Cells from the start of the step to one moment in it, before any heat has come.
  struct Uptake {
    Uptake(const Domain& domain, std::size_t unknowns);
    EnthalpyLaw enthalpy;
    std::vector<double> water;  // s [-]
  };
  void let_water_in(const State& now, const Inflow& inflow, double share, Uptake& uptake) const;
  void find_boiling_points(Uptake& uptake) const;
  SolveFailure solve(const Uptake& uptake, double dt, const char* what, std::vector<double>& temperature,
                     std::vector<double>& gained, StepReport& report);
  // What boils off up to the end, before anything else changes the water.
  void set_steam(const Fields& end);
  // What the water that boils off with bound water takes with it out of a cell that ends at `end` [C],
  // beside its latent heat, counted from T_b [J].
  double steam_heat(std::size_t cell, double end) const;
  void add_outlets(double duration, Ledger& ledger) const;
  // The cells, and behind them an electrode with a heat capacity of its own.
  std::size_t unknowns() const { return domain_.cells() + (boundaries_.electrode_is_node ? 1 : 0); }
  double& outlet(HeatOutlet which) { return heat_.outlet_temperature[static_cast<std::size_t>(which)]; }

  const Domain& domain_;
  double allowed_;
  double coldest_;  // of what the tissue loses heat to [C]
  HeatBoundaries boundaries_;
  HeatStage stage_;
  HeatOperator heat_;
  Uptake at_gamma_, at_end_;
  std::vector<double> metabolic_;       // [W]
  std::vector<double> electrode_film_;  // per contact face, at the middle of the step [W/(m2 K)]
  std::vector<double> middle_temperature_, middle_water_, conductivity_, perfusion_;  // at the middle of the step
  std::vector<double> known_;               // what a stage knows of the heat it will have gained [J]
  std::vector<double> stage_temperature_;   // T_1, then T [C]
  std::vector<double> gained_by_gamma_;     // Y_1 [J]
  std::vector<double> conducted_;           // dt H(T_1) [J]
  std::vector<double> gained_by_end_;       // Y [J]
  std::vector<double> flux_temperature_;    // with which a stage has evaluated its fluxes [C]
  std::vector<double> steam_, steam_heat_;  // that boils off, and what it takes beside its latent heat [kg], [J]
  std::vector<double> held_;                // after boil-off, with vapour; below zero where there is too little [-]
};

}  // namespace dryfront
