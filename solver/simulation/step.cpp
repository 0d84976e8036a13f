#include "simulation/step.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>

namespace dryfront {

namespace {

constexpr double heated_by = 10;                       // a cell counts as heated in full by that much [K]
constexpr double kelvin_per_load = 100;                // a load mispredicted by 1 % counts as 1 K
constexpr double gamma = 1 - std::numbers::sqrt2 / 2;  // of the two-stage L-stable scheme

FarVoltageKind far_kind(FarVoltage kind) {
  switch (kind) {
    case FarVoltage::half_space:
      return FarVoltageKind::half_space;
    case FarVoltage::insulated:
      return FarVoltageKind::insulated;
    case FarVoltage::grounded:
    case FarVoltage::pad:
      break;
  }
  return FarVoltageKind::grounded;
}

FarVoltageCells far_voltage_of(const Specimen& specimen, const Grid& grid) {
  const bool pad = specimen.bottom_voltage == FarVoltage::pad;
  return far_voltage(grid, far_kind(specimen.side_voltage), far_kind(specimen.bottom_voltage),
                     pad ? specimen.pad_inner_radius : 0.0,
                     pad ? specimen.pad_radius : std::numeric_limits<double>::infinity());
}

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

double& outlet(HeatOperator& heat, HeatOutlet which) {
  return heat.outlet_temperature[static_cast<std::size_t>(which)];
}

}  // namespace

TissueRows tissue_rows(const Specimen& specimen, const Grid& grid) {
  TissueRows rows;
  for (const Layer& layer : specimen.layers) rows.tissue.push_back(layer.tissue);
  std::size_t layer = 0;
  double bottom = specimen.layers[0].thickness;
  for (double z : grid.z()) {
    while (layer + 1 < specimen.layers.size() && z > bottom) bottom += specimen.layers[++layer].thickness;
    rows.of_row.push_back(layer);
  }
  return rows;
}

ModeStepper::ModeStepper(const Case& c, const Grid& grid, const Mode& mode)
    : grid_(grid),
      physics_(c.physics),
      electrode_(c.electrode),
      specimen_(c.specimen),
      rows_(tissue_rows(c.specimen, grid)),
      contact_(contact_geometry(grid, c.electrode)),
      crest_factor_(dryfront::crest_factor(mode.waveform)),
      striking_crest_factor_(dryfront::crest_factor(mode.striking_waveform.value_or(mode.waveform))),
      breakdown_crest_factor_(dryfront::crest_factor(mode.breakdown_waveform.value_or(mode.waveform))),
      striking_(mode.striking_waveform.value_or(mode.waveform), c.physics.strike_spread),
      source_(mode.source),
      electric_solver_(grid, contact_, far_voltage_of(c.specimen, grid)),
      heat_stage_(grid.columns(), grid.rows()),
      moisture_(grid, rows_, contact_),
      tolerance_(c.time.tolerance),
      longest_step_(c.time.longest) {
  probe_source_.kind = SourceKind::voltage;
  probe_source_.rms = 1e-6;
  for (const DamagePair& pair : c.damage) pairs_.push_back(damage_rates(pair.frequency, pair.energy, pair.floor));
  boundaries_ = {specimen_.air_heat_transfer, electrode_film(electrode_, specimen_),
                 specimen_.side_heat == FarHeat::held, specimen_.bottom_heat == FarHeat::held};
  outlet(heat_, HeatOutlet::air) = specimen_.surroundings;
  outlet(heat_, HeatOutlet::far) = specimen_.start;
  outlet(heat_, HeatOutlet::electrode) =
      electrode_.heat == ElectrodeHeat::film ? specimen_.surroundings : specimen_.start;
  for (const Tissue& tissue : rows_.tissue) {  // one temperature for all perfused layers (the case reader sees to it)
    if (tissue.perfusion > 0) outlet(heat_, HeatOutlet::perfusion) = tissue.blood;
  }
  const std::size_t cells = grid.cells();
  for (auto* field : {&conductivity_, &breakdown_, &conduction_wet_, &known_, &heat_gained_, &face_temperature_,
                      &conducted_, &stage_temperature_, &water_inflow_, &enthalpy_inflow_, &stage_water_}) {
    field->assign(cells, 0.0);
  }
  for (auto* field : {&enthalpy_.start, &enthalpy_.wet, &enthalpy_.dry, &enthalpy_.latent, &enthalpy_.boiling_point})
    field->assign(cells, 0.0);
  laws_.resize(contact_.faces.size());
  for (int j = 0; j < grid.rows(); ++j) {
    const Tissue& tissue = rows_.at(static_cast<std::size_t>(j));
    moisture_moves_ = moisture_moves_ || (physics_.moisture && tissue.moisture > 0);
    perfused_ = perfused_ || (physics_.perfusion && tissue.perfusion > 0);
    for (int i = 0; i < grid.columns(); ++i) {
      volume_.push_back(grid.volume(i, j));
      metabolic_.push_back(tissue.metabolic * grid.volume(i, j));
    }
  }
  for (std::size_t cell : contact_.metal) metabolic_[cell] = 0;
  least_heated_ = heat_capacity(rows_.tissue[0], 1.0) * contact_.area * 0.1 * std::sqrt(contact_.area);
  if (perfused_) perfusion_.assign(cells, 0.0);
  if (electrode_.heat == ElectrodeHeat::lumped) {
    // The electrode's temperature is carried explicitly; a step must stay well below its time constant.
    const double film = std::min(boundaries_.electrode_film, 2e4);
    longest_step_ = std::min(longest_step_, 0.3 * electrode_.capacity / (film * contact_.area));
  }
}

State ModeStepper::initial_state() {
  const std::size_t cells = grid_.cells();
  State state;
  for (auto* field : {&state.temperature, &state.peak_temperature}) field->assign(cells, specimen_.start);
  state.water.assign(cells, 1.0);
  state.omega.assign(pairs_.size(), std::vector<double>(cells, 0.0));
  for (auto* field : {&state.cem43, &state.heat_source, &state.heat_source_rate, &state.water_rate, &state.boil_rate,
                      &state.temperature_rate, &state.omega_rate}) {
    field->assign(cells, 0.0);
  }
  state.eschar.assign(contact_.faces.size(), 0.0);
  state.electrode_temperature = specimen_.start;
  return state;
}

// The electric problem for given fields.
bool ModeStepper::conduct(const State& fields, bool current_on, ElectricState& electric) {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < conductivity_.size(); ++c) {
    const Tissue& tissue = rows_.at(c / columns);
    const double water = std::clamp(fields.water[c], 0.0, 1.0);
    double sigma = conductivity(tissue, fields.temperature[c], water, physics_.conductivity_rises);
    if (tissue.coagulation_rise != 0) sigma *= 1 - tissue.coagulation_rise * std::expm1(-fields.omega[0][c]);
    conductivity_[c] = sigma;
    breakdown_[c] = physics_.arc_conductivity * (1 - water) * (1 - water);
  }
  contact_laws(contact_, electrode_, physics_, rows_, fields.temperature, fields.water, fields.eschar, laws_);
  ElectricInput input;
  input.conductivity = conductivity_;
  if (physics_.breakdown && current_on) input.breakdown = breakdown_;
  input.breakdown_threshold = physics_.breakdown_field / breakdown_crest_factor_;
  if (electrode_.contact != ContactKind::perfect) input.contact = laws_;
  input.strike_threshold = strike_voltage(electrode_, physics_) / striking_crest_factor_;
  input.striking = &striking_;
  input.source = current_on ? &source_ : &probe_source_;
  input.crest_factor = crest_factor_;
  electric_solver_.solve(input, electric);
  return electric.converged;
}

// Volume heating stays where it arises; the contact's goes into the interface below each face, the sparks' by their share.
void ModeStepper::heat_from_current(const ElectricState& electric, bool current_on, std::vector<double>& source,
                                    double& spark_loss) const {
  spark_loss = 0;
  if (!current_on) {
    std::fill(source.begin(), source.end(), 0.0);
    return;
  }
  std::copy(electric.heating.begin(), electric.heating.end(), source.begin());
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const double into_tissue = electric.contact_power[f] + physics_.spark_heat_share * electric.spark_power[f];
    spark_loss += (1 - physics_.spark_heat_share) * electric.spark_power[f];
    for (std::size_t k = face.interface_begin; k < face.interface_end; ++k) {
      source[contact_.interface[k].cell] += contact_.interface[k].share * into_tissue;
    }
  }
}

bool ModeStepper::switch_current(State& state, bool current_on) {
  current_on_ = current_on;
  const bool converged = conduct(state, current_on, state.electric);
  heat_from_current(state.electric, current_on, state.heat_source, state.spark_loss);
  if (!current_on) {
    state.electric.power = state.electric.rms = state.electric.current = 0;
    state.electric.volume_power = state.electric.surface_power = state.electric.beyond_power = 0;
    state.electric.arcing_share = 0;
  }
  for (auto* rate :
       {&state.heat_source_rate, &state.water_rate, &state.boil_rate, &state.temperature_rate, &state.omega_rate}) {
    std::fill(rate->begin(), rate->end(), 0.0);
  }
  state.electrode_rate = 0;
  state.resistance_rate = 0;
  return converged;
}

bool ModeStepper::renew_current(State& state) {
  if (!current_on_) return true;
  const bool converged = conduct(state, true, state.electric);
  heat_from_current(state.electric, true, state.heat_source, state.spark_loss);
  return converged;
}

// Thermal conductivity, perfusion and the electrode's temperature, extrapolated to the middle of the step.
void ModeStepper::material_at_middle(const State& now, double dt) {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < conduction_wet_.size(); ++c) {
    const Tissue& tissue = rows_.at(c / columns);
    const double water = std::clamp(now.water[c] + 0.5 * dt * now.water_rate[c], 0.0, 1.0);
    const double temperature = now.temperature[c] + 0.5 * dt * now.temperature_rate[c];
    conduction_wet_[c] = thermal_conductivity(tissue, temperature, water);
    if (perfused_) {
      const double omega = now.omega.empty() ? 0.0 : now.omega[0][c] + 0.5 * dt * now.omega_rate[c];
      perfusion_[c] = tissue.perfusion * tissue.blood_heat * volume_[c] * std::exp(-omega);
    }
  }
  if (perfused_) {
    for (std::size_t cell : contact_.metal) perfusion_[cell] = 0;
  }
  if (electrode_.heat == ElectrodeHeat::lumped) {
    outlet(heat_, HeatOutlet::electrode) = now.electrode_temperature + 0.5 * dt * now.electrode_rate;
  }
  set_heat_operator(grid_, contact_, boundaries_, conduction_wet_, perfusion_, heat_);
}

// Where every cell starts from when `share` of the step's moisture has flowed in, before any heat.
void ModeStepper::prepare_enthalpy(const State& now, double share) {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < volume_.size(); ++c) {
    const Tissue& tissue = rows_.at(c / columns);
    const double water = std::max(0.0, now.water[c] + share * water_inflow_[c]);
    enthalpy_.wet[c] = heat_capacity(tissue, water) * volume_[c];
    enthalpy_.dry[c] = heat_capacity(tissue, 0.0) * volume_[c];
    enthalpy_.latent[c] = physics_.boil_off ? tissue.latent * initial_water(tissue) * water * volume_[c] : 0.0;
    enthalpy_.boiling_point[c] = tissue.boiling_point;
    enthalpy_.start[c] = now.temperature[c];
    if (water_inflow_[c] != 0 || enthalpy_inflow_[c] != 0) {
      const double before =
          heat_capacity(tissue, now.water[c]) * volume_[c] * (now.temperature[c] - tissue.boiling_point);
      enthalpy_.start[c] = tissue.boiling_point + (before + share * enthalpy_inflow_[c]) / enthalpy_.wet[c];
    }
    stage_water_[c] = water;
  }
}

// Eschar grows with the spark heat: dc/dt = (1 - c) eta q_s/H_c, exact for the mean of q_s between start and end.
void ModeStepper::grow_eschar(const State& now, double dt, const ElectricState& start, const ElectricState& end,
                              std::vector<double>& eschar) const {
  if (!physics_.eschar) return;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const Tissue& tissue = rows_.at(face.row);
    const double eschar_heat = initial_water(tissue) * tissue.latent * physics_.eschar_thickness;
    const double spark_heat = 0.5 * dt * (start.spark_power[f] + end.spark_power[f]) / face.area;
    eschar[f] = 1 - (1 - now.eschar[f]) * std::exp(-physics_.spark_heat_share * spark_heat / eschar_heat);
  }
}

void ModeStepper::add_outlets(double duration, const std::vector<double>& temperature, Ledger& ledger) const {
  ledger.air_out += outlet_heat(heat_, HeatOutlet::air, temperature, duration);
  ledger.electrode_out += outlet_heat(heat_, HeatOutlet::electrode, temperature, duration);
  ledger.far_out += outlet_heat(heat_, HeatOutlet::far, temperature, duration);
  ledger.perfusion_out += outlet_heat(heat_, HeatOutlet::perfusion, temperature, duration);
}

StepReport ModeStepper::step(const State& now, Ticks duration, State& next) {
  const double dt = seconds(duration);
  const std::size_t cells = volume_.size();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  const double allowed = 1e-3 * tolerance_;
  StepReport report;
  const auto failed = [&](const char* what, double residual) {
    report.converged = false;
    report.failed = what;
    report.residual = residual;
    return report;
  };

  // Moisture: what flows into each cell within the step.
  next = now;
  next.time = now.time + duration;
  if (moisture_moves_ &&
      !moisture_.flow(dt, now.water, now.boil_rate, now.temperature, water_inflow_, enthalpy_inflow_).converged) {
    return failed("moisture", 0);
  }

  // Heat, first stage: to gamma dt, with the heating extrapolated.
  material_at_middle(now, dt);
  prepare_enthalpy(now, gamma);
  for (std::size_t c = 0; c < cells; ++c) {
    known_[c] = gamma * dt * (now.heat_source[c] + gamma * dt * now.heat_source_rate[c] + metabolic_[c]);
    // The guess goes on as the last step ended, through boiling where that comes in between.
    const double latent = stage_water_[c] > 0 ? enthalpy_.latent[c] / stage_water_[c] : 0.0;
    const double heat_rate = enthalpy_.wet[c] * now.temperature_rate[c] + latent * now.boil_rate[c];
    stage_temperature_[c] = temperature_at_enthalpy(enthalpy_, c, gamma * dt * heat_rate);
  }
  HeatStage::Report heat = heat_stage_.solve(heat_, enthalpy_, known_, gamma * dt, allowed, stage_temperature_,
                                             heat_gained_, face_temperature_);
  if (!heat.converged) return failed("heat, first stage", heat.passes);
  report.heat_iterations = heat.iterations;
  for (std::size_t c = 0; c < cells; ++c) conducted_[c] = (heat_gained_[c] - known_[c]) / gamma;
  add_outlets((1 - gamma) * dt, face_temperature_, report.ledger);

  // The end of the step, predicted.
  prepare_enthalpy(now, 1.0);
  predicted_.temperature.resize(cells);
  predicted_.water.resize(cells);
  for (std::size_t c = 0; c < cells; ++c) {
    const double heat_at_end = heat_gained_[c] / gamma;
    predicted_.temperature[c] = temperature_at_enthalpy(enthalpy_, c, heat_at_end);
    predicted_.water[c] = stage_water_[c] * (1 - vaporised_fraction(enthalpy_, c, heat_at_end));
  }
  predicted_.omega = now.omega;
  predicted_.eschar = now.eschar;
  if (current_on_) grow_eschar(now, dt, now.electric, now.electric, predicted_.eschar);

  // Charge, at the predicted end: potential, operating point of the source, heating.
  if (current_on_) {
    if (!conduct(predicted_, true, next.electric)) return failed("charge", next.electric.residual);
    heat_from_current(next.electric, true, next.heat_source, next.spark_loss);
    grow_eschar(now, dt, now.electric, next.electric, next.eschar);
  }

  // Heat, second stage: to dt, with the heating by the trapezoidal rule.
  for (std::size_t c = 0; c < cells; ++c) {
    known_[c] = (1 - gamma) * conducted_[c] + dt * (0.5 * (now.heat_source[c] + next.heat_source[c]) + metabolic_[c]);
    next.temperature[c] = predicted_.temperature[c];
  }
  heat = heat_stage_.solve(heat_, enthalpy_, known_, gamma * dt, allowed, next.temperature, heat_gained_,
                           face_temperature_);
  if (!heat.converged) return failed("heat, second stage", heat.passes);
  report.heat_iterations += heat.iterations;
  add_outlets(gamma * dt, face_temperature_, report.ledger);
  double squares = 0;
  double heated = least_heated_;
  for (std::size_t c = 0; c < cells; ++c) {
    const double off = next.temperature[c] - predicted_.temperature[c];
    squares += enthalpy_.wet[c] * off * off;
    heated += enthalpy_.wet[c] * std::min(1.0, std::abs(next.temperature[c] - specimen_.start) / heated_by);
    const double boiled = vaporised_fraction(enthalpy_, c, heat_gained_[c]) * stage_water_[c];
    next.water[c] = stage_water_[c] - boiled;
    next.boil_rate[c] = boiled / dt;
    if (boiled > 0) {
      const Tissue& tissue = rows_.at(c / columns);
      const double mass = boiled * initial_water(tissue) * volume_[c];
      report.ledger.water_boiled += mass;
      report.ledger.latent += mass * tissue.latent;
    }
  }

  // How far the prediction was off: in temperature, as the root mean square over what has been heated, and in the load.
  report.error = std::sqrt(squares / heated);
  if (current_on_) {
    const double expected = now.electric.resistance + dt * now.resistance_rate;
    const double missed = std::abs(next.electric.resistance - expected) / next.electric.resistance;
    report.error = std::max(report.error, kelvin_per_load * missed);
    next.resistance_rate = (next.electric.resistance - now.electric.resistance) / dt;
  }

  // Damage, over the ramp from the old to the new temperature.
  for (std::size_t p = 0; p < pairs_.size(); ++p) {
    accumulate_damage(pairs_[p], now.temperature, next.temperature, dt, next.omega[p]);
  }
  accumulate_cem43(now.temperature, next.temperature, dt, next.cem43);
  for (std::size_t c = 0; c < cells; ++c) {
    next.peak_temperature[c] = std::max(now.peak_temperature[c], next.temperature[c]);
  }

  // The electrode takes what left through its face.
  if (electrode_.heat == ElectrodeHeat::lumped) {
    next.electrode_temperature = now.electrode_temperature + report.ledger.electrode_out / electrode_.capacity;
    next.electrode_rate = (next.electrode_temperature - now.electrode_temperature) / dt;
  }

  // Rates for the next look ahead, and the ledger.
  for (std::size_t c = 0; c < cells; ++c) {
    next.heat_source_rate[c] = (next.heat_source[c] - now.heat_source[c]) / dt;
    next.water_rate[c] = (next.water[c] - now.water[c]) / dt;
    next.temperature_rate[c] = (next.temperature[c] - now.temperature[c]) / dt;
  }
  if (perfused_ && !pairs_.empty()) {
    for (std::size_t c = 0; c < cells; ++c) next.omega_rate[c] = (next.omega[0][c] - now.omega[0][c]) / dt;
  }
  const auto mean = [&](double before, double after) { return 0.5 * dt * (before + after); };
  if (current_on_) {
    report.ledger.electric_in = mean(now.electric.power, next.electric.power);
    report.ledger.surface_in = mean(now.electric.surface_power, next.electric.surface_power);
    report.ledger.beyond_out = mean(now.electric.beyond_power, next.electric.beyond_power);
    report.ledger.spark_out = mean(now.spark_loss, next.spark_loss);
    const double shared = next.electric.volume_power + next.electric.surface_power + next.electric.beyond_power;
    // The power is the sum of the shares, so what flows in is what can miss them.
    report.ledger.worst_electric = std::abs(next.electric.rms * next.electric.inflow - shared) / next.electric.power;
  }
  for (double power : metabolic_) report.ledger.metabolic_in += power * dt;
  return report;
}

double ModeStepper::wet_share(const State& state) {
  contact_laws(contact_, electrode_, physics_, rows_, state.temperature, state.water, state.eschar, laws_);
  double sum = 0;
  for (std::size_t f = 0; f < laws_.size(); ++f) sum += laws_[f].wet * contact_.faces[f].area;
  return sum / contact_.area;
}

double ModeStepper::eschar_share(const State& state) const {
  double sum = 0;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) sum += state.eschar[f] * contact_.faces[f].area;
  return sum / contact_.area;
}

double ModeStepper::stored_heat(const State& state) const {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  double sum = 0;
  for (std::size_t c = 0; c < volume_.size(); ++c) {
    if (contact_.is_metal[c]) continue;
    const Tissue& tissue = rows_.at(c / columns);
    sum += heat_capacity(tissue, state.water[c]) * volume_[c] * (state.temperature[c] - tissue.boiling_point);
  }
  return sum;
}

double ModeStepper::stored_water(const State& state) const {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  double sum = 0;
  for (std::size_t c = 0; c < volume_.size(); ++c) {
    if (!contact_.is_metal[c]) sum += initial_water(rows_.at(c / columns)) * volume_[c] * state.water[c];
  }
  return sum;
}

}  // namespace dryfront
