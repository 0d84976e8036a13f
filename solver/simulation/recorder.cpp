#include "simulation/recorder.hpp"

#include <algorithm>
#include <cmath>

#include "numerics/grid_point.hpp"
#include "simulation/depth.hpp"

namespace dryfront {

namespace {

// When a trace first came past a level, from the last two rows, linear between them; at once when it starts past it.
// `direction` is 1 for rising, -1 for falling. not_a_time when the last row did not pass it.
double passing(const std::vector<double>& time, const std::vector<double>& value, double level, double direction) {
  const std::size_t last = value.size() - 1;
  const double after = direction * (value[last] - level);
  if (after <= 0) return not_a_time;
  if (last == 0) return time[0];
  const double before = direction * (value[last - 1] - level);
  if (before > 0) return time[last];
  return time[last - 1] + (time[last] - time[last - 1]) * before / (before - after);
}

}  // namespace

Recorder::Recorder(const Case& c, const Grid& grid, const Mode& mode)
    : case_(c), grid_(grid), excess_(grid.cells(), 0.0), depth_(static_cast<std::size_t>(grid.columns()), 0.0) {
  record_.name = mode.name;
  record_.label = label_of(mode);
  record_.crest_factor = crest_factor(mode.waveform);
  record_.trace.greatest_depth.resize(c.effects.size());
  for (const Probe& probe : c.probes) record_.probes.push_back({probe.name, {}, {}, {}});
}

EffectFields Recorder::fields_of(const State& state) const {
  return {state.temperature, state.water, state.peak_temperature, state.cem43, state.omega};
}

void Recorder::add_probes(const State& state) {
  for (std::size_t p = 0; p < record_.probes.size(); ++p) {
    const GridPoint place(grid_, case_.probes[p].r, case_.probes[p].z);
    record_.probes[p].time.push_back(seconds(state.time));
    record_.probes[p].temperature.push_back(place.at([&](std::size_t cell) { return state.temperature[cell]; }));
    double omega = 0;
    if (!state.omega.empty()) {
      omega = std::exp(place.at([&](std::size_t cell) { return log_omega(state.omega[0][cell]); }));
    }
    // The floor itself, whichever way round-off went, stands for none.
    record_.probes[p].omega.push_back(omega > least_omega * (1 + 1e-9) ? omega : 0.0);
  }
}

void Recorder::add(ModeStepper& stepper, const State& state, bool current_on) {
  Trace& trace = record_.trace;
  const ElectricState& electric = state.electric;
  const double wet = stepper.wet_share(state);
  trace.time.push_back(seconds(state.time));
  trace.resistance.push_back(electric.resistance);
  trace.power.push_back(electric.power);
  trace.rms.push_back(electric.rms);
  trace.peak.push_back(electric.rms * record_.crest_factor);
  trace.current.push_back(electric.current);
  trace.arcing_share.push_back(electric.arcing_share);
  trace.surface.push_back(electric.surface_power);
  trace.electrode.push_back(state.electrode_temperature);
  trace.wet_share.push_back(wet);
  trace.eschar_share.push_back(stepper.eschar_share(state));
  for (std::size_t e = 0; e < case_.effects.size(); ++e) {
    excess_of(case_.effects[e], fields_of(state), excess_);
    depth_per_column(grid_, excess_, depth_);
    trace.greatest_depth[e].push_back(*std::max_element(depth_.begin(), depth_.end()));
  }
  add_probes(state);

  if (!current_on) return;
  if (trace.time.size() == 1) record_.resistance_start = record_.resistance_least = electric.resistance;
  record_.resistance_least = std::min(record_.resistance_least, electric.resistance);
  record_.resistance_end = electric.resistance;
  if (std::isnan(record_.arcing)) record_.arcing = passing(trace.time, trace.arcing_share, 0.01, 1);
  const bool touches = case_.electrode.contact != ContactKind::gap;
  if (std::isnan(record_.dry_out) && touches) record_.dry_out = passing(trace.time, trace.wet_share, 0.05, -1);
}

void Recorder::renew(const State& state) {
  Trace& trace = record_.trace;
  const ElectricState& electric = state.electric;
  trace.resistance.back() = electric.resistance;
  trace.power.back() = electric.power;
  trace.rms.back() = electric.rms;
  trace.peak.back() = electric.rms * record_.crest_factor;
  trace.current.back() = electric.current;
  trace.arcing_share.back() = electric.arcing_share;
  trace.surface.back() = electric.surface_power;
}

void Recorder::add_step(const State& state, const Ledger& step) {
  ++record_.steps;
  record_.electric_solves += state.electric.solves;
  record_.electric_iterations += state.electric.iterations;
  ledger_.electric_in += step.electric_in;
  ledger_.surface_in += step.surface_in;
  ledger_.beyond_out += step.beyond_out;
  ledger_.spark_out += step.spark_out;
  ledger_.metabolic_in += step.metabolic_in;
  ledger_.air_out += step.air_out;
  ledger_.electrode_out += step.electrode_out;
  ledger_.far_out += step.far_out;
  ledger_.perfusion_out += step.perfusion_out;
  ledger_.latent += step.latent;
  ledger_.water_boiled += step.water_boiled;
  ledger_.worst_electric = std::max(ledger_.worst_electric, step.worst_electric);
}

Frame Recorder::frame(const State& state) {
  Frame frame;
  frame.time = seconds(state.time);
  frame.temperature = state.temperature;
  frame.water = state.water;
  frame.omega = state.omega;
  frame.cem43 = state.cem43;
  frame.peak_temperature = state.peak_temperature;
  frame.potential = state.electric.potential;
  frame.conductivity = state.electric.conductivity;
  frame.heating = state.heat_source;
  for (int j = 0; j < grid_.rows(); ++j) {
    for (int i = 0; i < grid_.columns(); ++i) frame.heating[grid_.index(i, j)] /= grid_.volume(i, j);
  }
  for (const Effect& effect : case_.effects) {
    excess_of(effect, fields_of(state), excess_);
    depth_per_column(grid_, excess_, depth_);
    frame.depth.push_back(depth_);
  }
  return frame;
}

ModeRecord Recorder::finish(const ModeStepper& stepper, const State& start, const State& end, bool completed) {
  record_.completed = completed;
  for (const Effect& effect : case_.effects) {
    excess_of(effect, fields_of(end), excess_);
    depth_per_column(grid_, excess_, depth_);
    EffectRecord result;
    result.name = effect.name;
    result.depth = *std::max_element(depth_.begin(), depth_.end());
    result.axis_depth = depth_.front();
    result.half_width = surface_half_width(grid_, excess_);
    result.volume = volume_inside(grid_, excess_);
    record_.effects.push_back(result);
  }
  record_.peak_temperature = *std::max_element(end.peak_temperature.begin(), end.peak_temperature.end());
  record_.delivered = ledger_.electric_in;
  record_.surface = ledger_.surface_in;

  LedgerRecord& balance = record_.ledger;
  balance.electric = ledger_.worst_electric;
  balance.electric_in = ledger_.electric_in;
  balance.surface_in = ledger_.surface_in;
  balance.metabolic_in = ledger_.metabolic_in;
  balance.stored = stepper.stored_heat(end) - stepper.stored_heat(start);
  balance.latent = ledger_.latent;
  balance.perfusion_out = ledger_.perfusion_out;
  balance.surface_out = ledger_.air_out;
  balance.electrode_out = ledger_.electrode_out;
  balance.far_out = ledger_.far_out + ledger_.beyond_out;
  balance.spark_out = ledger_.spark_out;
  const double outlets[] = {balance.perfusion_out, balance.surface_out, balance.electrode_out, balance.far_out};
  const double in = balance.electric_in + balance.metabolic_in;
  double out = balance.stored + balance.latent + balance.spark_out;
  double turnover = in;  // with what came in through the boundaries: a held electrode may be the only source
  for (double outlet : outlets) {
    out += outlet;
    turnover += std::max(0.0, -outlet);
  }
  balance.energy = turnover > 0 ? std::abs(in - out) / turnover : std::abs(out);
  balance.water_start = stepper.stored_water(start);
  balance.water_left = stepper.stored_water(end);
  balance.water_boiled = ledger_.water_boiled;
  balance.water = std::abs(balance.water_start - balance.water_left - balance.water_boiled) / balance.water_start;
  return std::move(record_);
}

}  // namespace dryfront
