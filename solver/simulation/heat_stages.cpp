#include "simulation/heat_stages.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dryfront {

namespace {

double electrode_film(const Electrode& electrode, const Specimen& specimen) {
  switch (electrode.heat) {
    case ElectrodeHeat::insulated:
      return 0;
    case ElectrodeHeat::film:
      return specimen.air_heat_transfer;
    case ElectrodeHeat::held:
    case ElectrodeHeat::lumped:
      break;
  }
  return electrode.heat_transfer > 0 ? electrode.heat_transfer : std::numeric_limits<double>::infinity();
}

}  // namespace

HeatStages::Uptake::Uptake(const Domain& domain) : water(domain.cells(), 0.0) {
  for (auto* field : {&enthalpy.start, &enthalpy.wet, &enthalpy.dry, &enthalpy.latent, &enthalpy.boiling_point}) {
    field->assign(domain.cells(), 0.0);
  }
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    enthalpy.dry[c] = heat_capacity(domain.tissue(c), 0.0) * domain.volume[c];
    enthalpy.boiling_point[c] = domain.tissue(c).boiling_point;
  }
}

HeatStages::HeatStages(const Domain& domain, double allowed)
    : domain_(domain),
      allowed_(allowed),
      boundaries_{domain.specimen.air_heat_transfer, electrode_film(domain.electrode, domain.specimen),
                  domain.specimen.side_heat == FarHeat::held, domain.specimen.bottom_heat == FarHeat::held},
      stage_(domain.grid.columns(), domain.grid.rows()),
      at_gamma_(domain),
      at_end_(domain) {
  const Specimen& specimen = domain.specimen;
  outlet(HeatOutlet::air) = specimen.surroundings;
  outlet(HeatOutlet::far) = specimen.start;
  outlet(HeatOutlet::electrode) = domain.electrode.heat == ElectrodeHeat::film ? specimen.surroundings : specimen.start;
  for (const Tissue& tissue :
       domain.rows.tissue) {  // one temperature for all perfused layers (the case reader sees to it)
    if (tissue.perfusion > 0) outlet(HeatOutlet::perfusion) = tissue.blood;
  }
  for (auto* field : {&conductivity_, &known_, &stage_temperature_, &gained_by_gamma_, &conducted_, &gained_by_end_,
                      &flux_temperature_}) {
    field->assign(domain.cells(), 0.0);
  }
  if (domain.perfused) perfusion_.assign(domain.cells(), 0.0);
  for (std::size_t c = 0; c < domain.cells(); ++c) metabolic_.push_back(domain.tissue(c).metabolic * domain.volume[c]);
  for (std::size_t cell : domain.contact.metal) metabolic_[cell] = 0;
}

void HeatStages::set_material(const State& now, double dt) {
  for (std::size_t c = 0; c < conductivity_.size(); ++c) {
    const Tissue& tissue = domain_.tissue(c);
    const double water = std::clamp(now.fields.water[c] + 0.5 * dt * now.rates.water[c], 0.0, 1.0);
    const double temperature = now.fields.temperature[c] + 0.5 * dt * now.rates.temperature[c];
    conductivity_[c] = thermal_conductivity(tissue, temperature, water);
    if (domain_.perfused) {
      const double omega = now.fields.omega.empty() ? 0.0 : now.fields.omega[0][c] + 0.5 * dt * now.rates.omega[c];
      perfusion_[c] = tissue.perfusion * tissue.blood_heat * domain_.volume[c] * std::exp(-omega);
    }
  }
  if (domain_.perfused) {
    for (std::size_t cell : domain_.contact.metal) perfusion_[cell] = 0;
  }
  if (domain_.electrode.heat == ElectrodeHeat::lumped) {
    outlet(HeatOutlet::electrode) = now.fields.electrode_temperature + 0.5 * dt * now.rates.electrode;
  }
  set_heat_operator(domain_.grid, domain_.contact, boundaries_, conductivity_, perfusion_, heat_);
}

void HeatStages::let_water_in(const State& now, const WaterFlow& flow, double share, Uptake& uptake) const {
  const std::vector<double>& volume = domain_.volume;
  EnthalpyLaw& enthalpy = uptake.enthalpy;
  for (std::size_t c = 0; c < volume.size(); ++c) {
    const Tissue& tissue = domain_.tissue(c);
    const double temperature = now.fields.temperature[c];
    const double water = std::max(0.0, now.fields.water[c] + share * flow.water()[c]);
    enthalpy.wet[c] = heat_capacity(tissue, water) * volume[c];
    enthalpy.latent[c] = domain_.physics.boil_off ? tissue.latent * initial_water(tissue) * water * volume[c] : 0.0;
    enthalpy.start[c] = temperature;
    if (flow.water()[c] != 0 || flow.enthalpy()[c] != 0) {
      const double before =
          heat_capacity(tissue, now.fields.water[c]) * volume[c] * (temperature - tissue.boiling_point);
      enthalpy.start[c] = tissue.boiling_point + (before + share * flow.enthalpy()[c]) / enthalpy.wet[c];
    }
    uptake.water[c] = water;
  }
}

void HeatStages::let_water_in(const State& now, const WaterFlow& flow) {
  let_water_in(now, flow, gamma, at_gamma_);
  let_water_in(now, flow, 1.0, at_end_);
}

SolveFailure HeatStages::solve(const Uptake& uptake, double dt, const char* what, std::vector<double>& temperature,
                               std::vector<double>& gained, StepReport& report) {
  const HeatStage::Report heat =
      stage_.solve(heat_, uptake.enthalpy, known_, gamma * dt, allowed_, temperature, gained, flux_temperature_);
  report.heat_iterations += heat.iterations;
  if (heat.converged) return {};
  return {what, "renewals of the boiling set", static_cast<double>(heat.passes)};
}

SolveFailure HeatStages::first_stage(const State& now, double dt, StepReport& report) {
  const EnthalpyLaw& enthalpy = at_gamma_.enthalpy;
  for (std::size_t c = 0; c < known_.size(); ++c) {
    known_[c] = gamma * dt * (now.heat_source[c] + gamma * dt * now.rates.heat_source[c] + metabolic_[c]);
    // The guess goes on as the last step ended, through boiling where that comes in between.
    const double latent = at_gamma_.water[c] > 0 ? enthalpy.latent[c] / at_gamma_.water[c] : 0.0;
    const double heat_rate = enthalpy.wet[c] * now.rates.temperature[c] + latent * now.rates.boil_off[c];
    stage_temperature_[c] = temperature_at_enthalpy(enthalpy, c, gamma * dt * heat_rate);
  }
  const SolveFailure failure = solve(at_gamma_, dt, "heat, first stage", stage_temperature_, gained_by_gamma_, report);
  for (std::size_t c = 0; c < known_.size(); ++c) conducted_[c] = (gained_by_gamma_[c] - known_[c]) / gamma;
  add_outlets((1 - gamma) * dt, report.ledger);
  return failure;
}

void HeatStages::predict_end(Fields& predicted) const {
  for (std::size_t c = 0; c < known_.size(); ++c) {
    const double heat_at_end = gained_by_gamma_[c] / gamma;
    predicted.temperature[c] = temperature_at_enthalpy(at_end_.enthalpy, c, heat_at_end);
    predicted.water[c] = at_end_.water[c] * (1 - vaporised_fraction(at_end_.enthalpy, c, heat_at_end));
  }
}

SolveFailure HeatStages::second_stage(const State& now, const Fields& predicted, double dt, State& next,
                                      StepReport& report) {
  for (std::size_t c = 0; c < known_.size(); ++c) {
    known_[c] = (1 - gamma) * conducted_[c] + dt * (0.5 * (now.heat_source[c] + next.heat_source[c]) + metabolic_[c]);
    next.fields.temperature[c] = predicted.temperature[c];
  }
  const SolveFailure failure =
      solve(at_end_, dt, "heat, second stage", next.fields.temperature, gained_by_end_, report);
  add_outlets(gamma * dt, report.ledger);
  return failure;
}

void HeatStages::boil_off(double dt, State& next, Ledger& ledger) const {
  for (std::size_t c = 0; c < known_.size(); ++c) {
    const double boiled = vaporised_fraction(at_end_.enthalpy, c, gained_by_end_[c]) * at_end_.water[c];
    next.fields.water[c] = at_end_.water[c] - boiled;
    next.rates.boil_off[c] = boiled / dt;
    if (boiled > 0) {
      const Tissue& tissue = domain_.tissue(c);
      const double mass = boiled * initial_water(tissue) * domain_.volume[c];
      ledger.water_boiled += mass;
      ledger.latent += mass * tissue.latent;
    }
  }
}

void HeatStages::add_outlets(double duration, Ledger& ledger) const {
  ledger.air_out += outlet_heat(heat_, HeatOutlet::air, flux_temperature_, duration);
  ledger.electrode_out += outlet_heat(heat_, HeatOutlet::electrode, flux_temperature_, duration);
  ledger.far_out += outlet_heat(heat_, HeatOutlet::far, flux_temperature_, duration);
  ledger.perfusion_out += outlet_heat(heat_, HeatOutlet::perfusion, flux_temperature_, duration);
}

void HeatStages::add_metabolic(double dt, Ledger& ledger) const {
  for (const double power : metabolic_) ledger.metabolic_in += power * dt;
}

double HeatStages::longest_step() const {
  if (domain_.electrode.heat != ElectrodeHeat::lumped) return std::numeric_limits<double>::infinity();
  constexpr double of_time_constant = 0.3;
  constexpr double greatest_film = 2e4;  // [W/(m2 K)]; an ideal contact, whose film is infinite, counts as this
  const double film = std::min(boundaries_.electrode_film, greatest_film);
  return of_time_constant * domain_.electrode.capacity / (film * domain_.contact.area);
}

}  // namespace dryfront
