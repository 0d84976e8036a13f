#include "simulation/step.hpp"

#include <algorithm>
#include <span>

#include "physics/eschar.hpp"

namespace dryfront {

namespace {

// What a cell colder than anything around the specimen counts, as against the mean error of the heated tissue   [-]
constexpr double cell_counts = 0.5;

void set_rate(const std::vector<double>& before, const std::vector<double>& after, double dt,
              std::vector<double>& rate) {
  for (std::size_t c = 0; c < rate.size(); ++c) rate[c] = (after[c] - before[c]) / dt;
}

// The pair of every row by which its conductivity rises, where it is the tissue's own.
std::vector<std::optional<DamagePairRates>> coagulation_pairs(const Domain& domain) {
  std::vector<std::optional<DamagePairRates>> pairs;
  bool any = false;
  for (int j = 0; j < domain.grid.rows(); ++j) {
    const Tissue& tissue = domain.rows.at(static_cast<std::size_t>(j));
    pairs.emplace_back();
    if (!has_coagulation_pair(tissue)) continue;
    any = true;
    pairs.back() = damage_rates(tissue.coagulation_frequency, tissue.coagulation_energy, DamagePair{}.floor);
  }
  if (!any) pairs.clear();
  return pairs;
}

SparkHeat spark_heat(const State& state) { return {state.electric.spark_power, state.electric.root_power}; }

}  // namespace

ModeStepper::ModeStepper(const Case& c, const Grid& grid, const Mode& mode)
    : domain_(c, grid),
      electric_stage_(domain_, mode),
      water_flow_(domain_),
      vapour_flow_(domain_),
      heat_stages_(domain_, 1e-3 * c.time.tolerance),
      prediction_error_(domain_),
      hold_(c, grid, mode),
      coagulation_pairs_(coagulation_pairs(domain_)) {
  for (const DamagePair& pair : c.damage) pairs_.push_back(damage_rates(pair.frequency, pair.energy, pair.floor));
  predicted_ = initial_state().fields;
}

State ModeStepper::initial_state() const {
  const std::size_t cells = domain_.cells();
  State state;
  Fields& fields = state.fields;
  for (auto* field : {&fields.temperature, &fields.peak_temperature}) field->assign(cells, domain_.specimen.start);
  fields.water.assign(cells, 1.0);
  if (domain_.physics.boil_off) {  // what starts hot has lost what it does not hold
    for (std::size_t c = 0; c < cells; ++c)
      fields.water[c] = std::min(1.0, most_water(domain_, c, domain_.specimen.start));
  }
  fields.omega.assign(pairs_.size(), std::vector<double>(cells, 0.0));
  fields.cem43.assign(cells, 0.0);
  fields.eschar.assign(domain_.contact.faces.size(), 0.0);
  fields.electrode_temperature = domain_.specimen.start;
  if (!coagulation_pairs_.empty()) fields.coagulation.assign(cells, 0.0);
  state.heat_source.assign(cells, 0.0);
  Rates& rates = state.rates;
  for (auto* rate :
       {&rates.heat_source, &rates.water, &rates.boil_off, &rates.vapour, &rates.temperature, &rates.omega}) {
    rate->assign(cells, 0.0);
  }
  return state;
}

SolveFailure ModeStepper::switch_current(State& state, bool current_on) {
  state.current_on = current_on;
  const SolveFailure failure = find_current(state.fields, state);
  if (!current_on) {
    state.electric.power = state.electric.rms = state.electric.current = 0;
    state.electric.volume_power = state.electric.surface_power = state.electric.beyond_power = 0;
    state.electric.arcing_share = 0;
  }
  Rates& rates = state.rates;
  for (auto* rate :
       {&rates.heat_source, &rates.water, &rates.boil_off, &rates.vapour, &rates.temperature, &rates.omega}) {
    std::fill(rate->begin(), rate->end(), 0.0);
  }
  rates.electrode = 0;
  rates.resistance = 0;
  return failure;
}

SolveFailure ModeStepper::renew_current(State& state) {
  if (!state.current_on) return {};
  return find_current(state.fields, state);
}

SolveFailure ModeStepper::find_current(const Fields& fields, State& state) {
  return electric_stage_.solve(fields, hold_.demand(fields, state.control_integral), state);
}

StepReport ModeStepper::step(const State& now, Ticks duration, State& next) {
  StepReport report = attempt(now, duration, WaterFlow::Room::boil_off, next);
  if (report.converged() && water_flow_.overfull(next.fields)) {
    report = attempt(now, duration, WaterFlow::Room::none, next);
  }
  if (!report.converged()) return report;
  report.error = std::max(report.error, cell_counts * heat_stages_.undershoot(next.fields));
  return report;
}

StepReport ModeStepper::attempt(const State& now, Ticks duration, WaterFlow::Room room, State& next) {
  const double dt = seconds(duration);
  StepReport report;
  const auto failed = [&report](const SolveFailure& failure) { return (report.failure = failure).what != nullptr; };
  next = now;
  next.time = now.time + duration;

  // Moisture
  if (failed(water_flow_.solve(now, dt, room))) return report;
  report.ledger.pressed_out += water_flow_.pressed_out();
  report.ledger.pressed_heat_out += water_flow_.pressed_heat();

  // Heat, first stage
  heat_stages_.set_material(now, dt);
  if (vapour_flow_.on()) heat_stages_.open_to_vapour(now, water_flow_, dt, vapour_flow_);
  if (vapour_flow_.on()) {
    heat_stages_.let_water_in(now, {vapour_flow_.water(), vapour_flow_.enthalpy()});
  } else {
    heat_stages_.let_water_in(now, {water_flow_.water(), water_flow_.enthalpy()});
  }
  if (failed(heat_stages_.first_stage(now, dt, report))) return report;
  if (vapour_flow_.on()) heat_stages_.let_first_vapour_in(now, dt, vapour_flow_);

  // The end of the step, predicted
  heat_stages_.predict_end(predicted_);
  predicted_.omega = now.fields.omega;
  predict_coagulation(now, dt);
  predict_eschar(now, dt);

  // Charge, at the predicted end; eschar
  if (now.current_on) {
    next.control_integral = hold_.integral_after(now, predicted_, dt);
    if (failed(find_current(predicted_, next))) return report;
    grow_eschar(now, dt, next);
  }

  // Heat, second stage
  if (failed(heat_stages_.second_stage(now, predicted_, dt, next, report))) return report;
  if (vapour_flow_.on()) heat_stages_.let_vapour_in(now, dt, vapour_flow_, next);
  heat_stages_.boil_off(dt, next, report.ledger);
  if (vapour_flow_.on()) vapour_flow_.add(dt, next, report.ledger);
  next.control_integral = hold_.integral_after(now, next.fields, dt);
  report.error = prediction_error(now, next, dt);

  // Damage
  accumulate_damage(now, dt, next);

  // Ledger
  if (now.current_on) add_electric(now, next, dt, report.ledger);
  heat_stages_.add_metabolic(dt, report.ledger);
  set_rates(now, dt, next);
  return report;
}

void ModeStepper::predict_coagulation(const State& now, double dt) {
  predicted_.coagulation = now.fields.coagulation;
  accumulate_coagulation(now.fields, predicted_, dt, predicted_.coagulation);
}

void ModeStepper::accumulate_coagulation(const Fields& before, const Fields& after, double dt,
                                         std::vector<double>& omega) const {
  const auto columns = static_cast<std::size_t>(domain_.grid.columns());
  for (std::size_t j = 0; j < coagulation_pairs_.size(); ++j) {
    if (!coagulation_pairs_[j]) continue;
    const auto row = [&](auto& field) { return std::span(field).subspan(j * columns, columns); };
    dryfront::accumulate_damage(*coagulation_pairs_[j], row(before.temperature), row(after.temperature), dt,
                                row(omega));
  }
}

// With the last spark heat.
void ModeStepper::predict_eschar(const State& now, double dt) {
  predicted_.eschar = now.fields.eschar;
  if (!now.current_on || !domain_.physics.eschar) return;
  dryfront::grow_eschar(domain_.contact, domain_.rows, domain_.physics, dt, now.fields.eschar, spark_heat(now),
                        spark_heat(now), predicted_.eschar);
}

void ModeStepper::grow_eschar(const State& now, double dt, State& next) const {
  if (!domain_.physics.eschar) return;
  dryfront::grow_eschar(domain_.contact, domain_.rows, domain_.physics, dt, now.fields.eschar, spark_heat(now),
                        spark_heat(next), next.fields.eschar);
}

double ModeStepper::prediction_error(const State& now, const State& next, double dt) const {
  const double of_temperature = prediction_error_.of_temperature(heat_stages_.heat_capacity_at_end(),
                                                                 predicted_.temperature, next.fields.temperature);
  const bool moved = vapour_flow_.on() && vapour_flow_.any_returned();
  const double of_vapour = moved ? prediction_error_.of_moved_heat(heat_stages_.heat_capacity_at_end(),
                                                                   vapour_flow_.all_returned(), next.fields.temperature)
                                 : 0.0;
  return std::max({of_temperature, of_vapour, prediction_error_.of_load(now, next, dt),
                   now.current_on ? hold_.prediction_error(predicted_, next.fields) : 0.0});
}

// Over the ramp from the old to the new temperature.
void ModeStepper::accumulate_damage(const State& now, double dt, State& next) const {
  const std::vector<double>& before = now.fields.temperature;
  const std::vector<double>& after = next.fields.temperature;
  for (std::size_t p = 0; p < pairs_.size(); ++p) {
    dryfront::accumulate_damage(pairs_[p], before, after, dt, next.fields.omega[p]);
  }
  accumulate_coagulation(now.fields, next.fields, dt, next.fields.coagulation);
  accumulate_cem43(before, after, dt, next.fields.cem43);
  for (std::size_t c = 0; c < after.size(); ++c) {
    next.fields.peak_temperature[c] = std::max(now.fields.peak_temperature[c], after[c]);
  }
}

void ModeStepper::set_rates(const State& now, double dt, State& next) const {
  set_rate(now.heat_source, next.heat_source, dt, next.rates.heat_source);
  set_rate(now.fields.water, next.fields.water, dt, next.rates.water);
  set_rate(now.fields.temperature, next.fields.temperature, dt, next.rates.temperature);
  if (domain_.perfused && !pairs_.empty()) set_rate(now.fields.omega[0], next.fields.omega[0], dt, next.rates.omega);
  next.rates.resistance = (next.electric.resistance - now.electric.resistance) / dt;
  next.rates.electrode = (next.fields.electrode_temperature - now.fields.electrode_temperature) / dt;
}

}  // namespace dryfront
