#include "simulation/heat_stages.hpp"

#include <algorithm>
#include <cmath>

#include "physics/electrode_shape.hpp"
#include "simulation/kept_steam.hpp"

namespace dryfront {

HeatStages::Uptake::Uptake(const Domain& domain, std::size_t unknowns) : water(domain.cells(), 0.0) {
  for (auto* field : {&enthalpy.start, &enthalpy.wet, &enthalpy.dry, &enthalpy.latent, &enthalpy.boiling_point}) {
    field->assign(unknowns, 0.0);
  }
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    enthalpy.dry[c] = heat_capacity(domain.tissue(c), 0.0) * domain.volume[c];
    enthalpy.boiling_point[c] = domain.tissue(c).boiling_point;
  }
  if (domain.physics.bound_water) {
    enthalpy.bound = &domain.bound_water;
    enthalpy.water.assign(unknowns, 0.0);
    enthalpy.exact.assign(unknowns, 0);
    for (std::size_t c = 0; c < domain.cells(); ++c) enthalpy.spare.push_back(domain.spare_room(c));
  }
  const ThirdDirection third{domain.grid.symmetry(), domain.grid.length()};
  if (unknowns > domain.cells()) enthalpy.wet.back() = enthalpy.dry.back() = heat_capacity(domain.electrode, third);
}

HeatStages::HeatStages(const Domain& domain, double allowed)
    : domain_(domain),
      allowed_(allowed),
      coldest_(domain.specimen.start),
      boundaries_{domain.specimen.air_heat_transfer, domain.electrode.heat == ElectrodeHeat::lumped,
                  domain.specimen.side_heat == FarHeat::held, domain.specimen.bottom_heat == FarHeat::held},
      stage_(domain.grid.columns(), domain.grid.rows()),
      at_gamma_(domain, unknowns()),
      at_end_(domain, unknowns()),
      electrode_film_(domain.contact.faces.size(),
                      domain.electrode.heat == ElectrodeHeat::film ? domain.specimen.air_heat_transfer : 0.0) {
  const Specimen& specimen = domain.specimen;
  outlet(HeatOutlet::air) = specimen.surroundings;
  outlet(HeatOutlet::far) = specimen.start;
  outlet(HeatOutlet::electrode) = domain.electrode.heat == ElectrodeHeat::film ? specimen.surroundings : specimen.start;
  for (const Tissue& tissue :
       domain.rows.tissue) {  // one temperature for all perfused layers (the case reader sees to it)
    if (tissue.perfusion > 0) outlet(HeatOutlet::perfusion) = tissue.blood;
  }
  coldest_ = std::min(coldest_, specimen.surroundings);
  if (domain.perfused) coldest_ = std::min(coldest_, outlet(HeatOutlet::perfusion));
  for (auto* field : {&conductivity_, &middle_temperature_, &middle_water_}) field->assign(domain.cells(), 0.0);
  for (auto* field :
       {&known_, &stage_temperature_, &gained_by_gamma_, &conducted_, &gained_by_end_, &flux_temperature_}) {
    field->assign(unknowns(), 0.0);
  }
  if (domain.physics.bound_water || domain.physics.steam_kept > 0) {
    for (auto* field : {&steam_, &steam_heat_}) field->assign(domain.cells(), 0.0);
  }
  if (domain.physics.vapour) {
    held_.assign(domain.cells(), 0.0);
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
    middle_temperature_[c] = temperature;
    middle_water_[c] = water;
    conductivity_[c] = thermal_conductivity(tissue, temperature, water);
    if (domain_.perfused) {
      const double omega = now.fields.omega.empty() ? 0.0 : now.fields.omega[0][c] + 0.5 * dt * now.rates.omega[c];
      perfusion_[c] = tissue.perfusion * tissue.blood_heat * domain_.volume[c] * std::exp(-omega);
    }
  }
  if (domain_.perfused) {
    for (std::size_t cell : domain_.contact.metal) perfusion_[cell] = 0;
  }
  if (domain_.electrode.heat == ElectrodeHeat::held || domain_.electrode.heat == ElectrodeHeat::lumped) {
    contact_heat_transfer(domain_.contact, domain_.electrode, domain_.rows, middle_temperature_, middle_water_,
                          electrode_film_);
  }
  set_heat_operator(domain_.grid, domain_.contact, boundaries_, electrode_film_, conductivity_, perfusion_, heat_);
}

void HeatStages::open_to_vapour(const State& now, const WaterFlow& flow, double dt, VapourFlow& vapour) {
  if (!domain_.physics.bound_water && domain_.physics.boil_off) {  // what is wet does not go beyond T_b
    for (std::size_t c = 0; c < domain_.cells(); ++c) {
      if (middle_water_[c] <= 0) continue;
      middle_temperature_[c] = std::min(middle_temperature_[c], at_end_.enthalpy.boiling_point[c]);
    }
  }
  vapour.open(now, flow, dt, middle_temperature_);
  const FluxOperator& faces = vapour.conductances();
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    heat_.op.east[c] += faces.east[c];
    heat_.op.south[c] += faces.south[c];
  }
}

void HeatStages::let_first_vapour_in(const State& now, double dt, VapourFlow& vapour) {
  vapour.flow_down(flux_temperature_, 1.0, dt);
  let_water_in(now, {vapour.water(), vapour.enthalpy()}, 1.0, at_end_);
}

// What is given back may fill other cells, or heat them so that they hold less: they are asked anew, a few times.
void HeatStages::let_vapour_in(const State& now, double dt, VapourFlow& vapour, State& next) {
  constexpr int most_rounds = 8;
  vapour.flow_down(flux_temperature_, gamma, dt);
  for (int round = 0;; ++round) {
    let_water_in(now, {vapour.water(), vapour.enthalpy()}, 1.0, at_end_);
    for (std::size_t c = 0; c < domain_.cells(); ++c) {
      double& temperature = next.fields.temperature[c];
      temperature = temperature_at_enthalpy(at_end_.enthalpy, c, gained_by_end_[c], temperature);
      const double left = 1 - vaporised_fraction(at_end_.enthalpy, c, gained_by_end_[c], temperature);
      held_[c] = left * std::min(at_end_.water[c], now.fields.water[c] + vapour.water()[c]);
    }
    if (round == most_rounds || !vapour.refuse(held_)) return;
    for (std::size_t c = 0; c < domain_.cells(); ++c) gained_by_end_[c] += vapour.returned()[c];
  }
}

void HeatStages::let_water_in(const State& now, const Inflow& inflow, double share, Uptake& uptake) const {
  const std::vector<double>& volume = domain_.volume;
  const auto columns = static_cast<std::size_t>(domain_.grid.columns());
  EnthalpyLaw& enthalpy = uptake.enthalpy;
  for (std::size_t c = 0, j = 0; j * columns < volume.size(); ++j) {
    const Tissue& tissue = domain_.rows.at(j);
    for (; c < (j + 1) * columns; ++c) {
      const double temperature = now.fields.temperature[c];
      const double water = std::max(0.0, now.fields.water[c] + share * inflow.water[c]);
      enthalpy.wet[c] = heat_capacity(tissue, water) * volume[c];
      enthalpy.latent[c] = domain_.physics.boil_off ? tissue.latent * initial_water(tissue) * water * volume[c] : 0.0;
      enthalpy.start[c] = temperature;
      if (inflow.water[c] != 0 || inflow.enthalpy[c] != 0) {
        const double before =
            heat_capacity(tissue, now.fields.water[c]) * volume[c] * (temperature - tissue.boiling_point);
        enthalpy.start[c] = tissue.boiling_point + (before + share * inflow.enthalpy[c]) / enthalpy.wet[c];
      }
      uptake.water[c] = water;
    }
  }
  if (enthalpy.bound != nullptr) find_boiling_points(uptake);
  if (boundaries_.electrode_is_node) enthalpy.start.back() = now.fields.electrode_temperature;
}

// Lower bounds of them, where a cell is far from boiling.
void HeatStages::find_boiling_points(Uptake& uptake) const {
  constexpr double far = 8;  // [K]
  EnthalpyLaw& u = uptake.enthalpy;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    const double water = uptake.water[c], spare = u.spare[c];
    if (water <= 0) continue;
    u.water[c] = water;
    u.boiling_point[c] = std::max(u.start[c] + far, BoundWater::no_loss_below);
    u.exact[c] = 0;
    if (u.boiling_point[c] <= BoundWater::no_loss_below ? water <= 1 + spare
                                                        : water <= u.bound->water(u.boiling_point[c], spare)) {
      continue;
    }
    u.boiling_point[c] = u.bound->temperature_near(u.start[c], water, spare);
    u.exact[c] = 1;
  }
}

void HeatStages::let_water_in(const State& now, const Inflow& inflow) {
  let_water_in(now, inflow, gamma, at_gamma_);
  if (!domain_.physics.vapour) let_water_in(now, inflow, 1.0, at_end_);
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
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    // A source that falls does not turn into a sink.
    const double least = std::min(0.0, now.heat_source[c]);
    const double source = std::max(least, now.heat_source[c] + gamma * dt * now.rates.heat_source[c]);
    known_[c] = gamma * dt * (source + metabolic_[c]);
    // The guess goes on as the last step ended, through boiling where that comes in between.
    const double latent = at_gamma_.water[c] > 0 ? enthalpy.latent[c] / at_gamma_.water[c] : 0.0;
    const double heat_rate = enthalpy.wet[c] * now.rates.temperature[c] + latent * now.rates.boil_off[c];
    stage_temperature_[c] = temperature_at_enthalpy(enthalpy, c, gamma * dt * heat_rate);
  }
  if (boundaries_.electrode_is_node) {
    known_.back() = 0;
    stage_temperature_.back() = now.fields.electrode_temperature + gamma * dt * now.rates.electrode;
  }
  const SolveFailure failure = solve(at_gamma_, dt, "heat, first stage", stage_temperature_, gained_by_gamma_, report);
  for (std::size_t c = 0; c < known_.size(); ++c) conducted_[c] = (gained_by_gamma_[c] - known_[c]) / gamma;
  add_outlets((1 - gamma) * dt, report.ledger);
  return failure;
}

void HeatStages::predict_end(Fields& predicted) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    const double heat_at_end = gained_by_gamma_[c] / gamma;
    predicted.temperature[c] =
        std::max(coldest_, temperature_at_enthalpy(at_end_.enthalpy, c, heat_at_end, stage_temperature_[c]));
    const double vaporised = vaporised_fraction(at_end_.enthalpy, c, heat_at_end, predicted.temperature[c]);
    predicted.water[c] = at_end_.water[c] * (1 - vaporised);
  }
  if (domain_.physics.steam_kept > 0) {
    set_steam(predicted);
    keep_steam(domain_, steam_, steam_heat_, predicted);
  }
  if (boundaries_.electrode_is_node) {
    const EnthalpyLaw& enthalpy = at_end_.enthalpy;
    predicted.electrode_temperature = enthalpy.start.back() + gained_by_gamma_.back() / (gamma * enthalpy.wet.back());
  }
}

SolveFailure HeatStages::second_stage(const State& now, const Fields& predicted, double dt, State& next,
                                      StepReport& report) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    known_[c] = (1 - gamma) * conducted_[c] + dt * (0.5 * (now.heat_source[c] + next.heat_source[c]) + metabolic_[c]);
    stage_temperature_[c] = predicted.temperature[c];
  }
  if (boundaries_.electrode_is_node) {
    known_.back() = (1 - gamma) * conducted_.back();
    stage_temperature_.back() = predicted.electrode_temperature;
  }
  const SolveFailure failure = solve(at_end_, dt, "heat, second stage", stage_temperature_, gained_by_end_, report);
  std::copy_n(stage_temperature_.begin(), domain_.cells(), next.fields.temperature.begin());
  if (boundaries_.electrode_is_node) {
    next.fields.electrode_temperature = stage_temperature_.back();
    // What it holds more, since the linear solver leaves something open in it as in a cell.
    report.ledger.electrode_out += gained_by_end_.back();
  }
  add_outlets(gamma * dt, report.ledger);
  return failure;
}

void HeatStages::boil_off(double dt, State& next, Ledger& ledger) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    const double boiled =
        vaporised_fraction(at_end_.enthalpy, c, gained_by_end_[c], next.fields.temperature[c]) * at_end_.water[c];
    next.fields.water[c] = at_end_.water[c] - boiled;
    next.rates.boil_off[c] = boiled / dt;
    if (boiled > 0) {
      const Tissue& tissue = domain_.tissue(c);
      const double mass = boiled * initial_water(tissue) * domain_.volume[c];
      ledger.water_boiled += mass;
      ledger.latent += mass * tissue.latent;
    }
  }
  if (!domain_.physics.bound_water && domain_.physics.steam_kept <= 0) return;
  set_steam(next.fields);
  for (const double heat : steam_heat_) ledger.steam_out += heat;
  if (domain_.physics.steam_kept <= 0) return;
  const KeptSteam kept = keep_steam(domain_, steam_, steam_heat_, next.fields);
  ledger.water_boiled -= kept.mass;
  ledger.latent -= kept.latent;
  ledger.steam_out -= kept.sensible;
  ledger.steam_kept += kept.mass;
}

void HeatStages::set_steam(const Fields& end) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    steam_[c] = (at_end_.water[c] - end.water[c]) * initial_water(domain_.tissue(c)) * domain_.volume[c];
    steam_heat_[c] = steam_heat(c, end.temperature[c]);
  }
}

// The water boils off at every temperature from where it begins to the last: integral of its heat capacity times
// (T - T_b) over the water that left.
double HeatStages::steam_heat(std::size_t cell, double end) const {
  const EnthalpyLaw& u = at_end_.enthalpy;
  if (u.bound == nullptr || u.latent[cell] <= 0 || end <= u.boiling_point[cell]) return 0;
  const double begins = bound_boiling_point(u, cell);
  if (end <= begins) return 0;
  const double counted_from = domain_.tissue(cell).boiling_point, spare = u.spare[cell];
  const double of_water = (u.wet[cell] - u.dry[cell]) / u.water[cell];
  return of_water * (u.water[cell] * (begins - counted_from) - u.bound->water(end, spare) * (end - counted_from) +
                     u.bound->integral(begins, end, spare));
}

void HeatStages::add_outlets(double duration, Ledger& ledger) const {
  ledger.air_out += outlet_heat(heat_, HeatOutlet::air, flux_temperature_, duration);
  if (!boundaries_.electrode_is_node) {
    ledger.electrode_out += outlet_heat(heat_, HeatOutlet::electrode, flux_temperature_, duration);
  }
  ledger.far_out += outlet_heat(heat_, HeatOutlet::far, flux_temperature_, duration);
  ledger.perfusion_out += outlet_heat(heat_, HeatOutlet::perfusion, flux_temperature_, duration);
}

double HeatStages::undershoot(const Fields& fields) const {
  return coldest_ - *std::min_element(fields.temperature.begin(), fields.temperature.end());
}

void HeatStages::add_metabolic(double dt, Ledger& ledger) const {
  for (const double power : metabolic_) ledger.metabolic_in += power * dt;
}

}  // namespace dryfront
