#include "simulation/recorder.hpp"

#include <algorithm>
#include <cmath>

#include "numerics/grid_point.hpp"
#include "physics/electrode_shape.hpp"
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

// The change of a depth that counts as one: half of the last digit that is printed.   [m]
constexpr double notable_change = 5e-6;

// Whether a depth was another one when the mode passed hottest_known. `trace`: the greatest depths at the times.
bool changed_after(const RangePassing& passing, const std::vector<double>& time, const std::vector<double>& trace,
                   double depth) {
  if (!passing.happened()) return false;
  const auto row = std::lower_bound(time.begin(), time.end(), passing.time) - time.begin();
  return std::abs(depth - trace[static_cast<std::size_t>(row)]) >= notable_change;
}

}  // namespace

Recorder::Recorder(const Case& c, const Grid& grid, const Mode& mode)
    : case_(c),
      grid_(grid),
      excess_(grid.cells(), 0.0),
      depth_(static_cast<std::size_t>(grid.columns()), 0.0),
      begins_(tissue_begins(grid, c.electrode)) {
  ModeRecord& record = recording_.record;
  record.name = mode.name;
  record.label = label_of(mode);
  record.crest_factor = crest_factor(mode.waveform);
  record.trace.greatest_depth.resize(c.effects.size());
  for (const Probe& probe : c.probes) record.probes.push_back({probe.name, {}, {}, {}});
}

EffectFields Recorder::fields_of(const State& state) const {
  return {state.fields.temperature, state.fields.water, state.fields.peak_temperature, state.fields.cem43,
          state.fields.omega};
}

void Recorder::add_probes(const State& state) {
  std::vector<ProbeRecord>& probes = recording_.record.probes;
  for (std::size_t p = 0; p < probes.size(); ++p) {
    const GridPoint place(grid_, case_.probes[p].r, case_.probes[p].z);
    probes[p].time.push_back(seconds(state.time));
    probes[p].temperature.push_back(place.at([&](std::size_t cell) { return state.fields.temperature[cell]; }));
    double omega = 0;
    if (!state.fields.omega.empty()) {
      omega = std::exp(place.at([&](std::size_t cell) { return log_omega(state.fields.omega[0][cell]); }));
    }
    // The floor itself, whichever way round-off went, stands for none.
    probes[p].omega.push_back(omega > least_omega * (1 + 1e-9) ? omega : 0.0);
  }
}

RangePassing Recorder::passing_of(const State& state) const {
  const std::vector<double>& peak = state.fields.peak_temperature;
  const auto hottest = std::max_element(peak.begin(), peak.end());
  if (*hottest <= hottest_known) return {};
  const auto cell = static_cast<std::size_t>(hottest - peak.begin());
  const auto columns = static_cast<std::size_t>(grid_.columns());
  return {seconds(state.time), grid_.r()[cell % columns], grid_.z()[cell / columns]};
}

void Recorder::add(ModeStepper& stepper, const State& state) {
  ModeRecord& record = recording_.record;
  Trace& trace = record.trace;
  const ElectricState& electric = state.electric;
  const double wet = stepper.wet_share(state);
  trace.time.push_back(seconds(state.time));
  trace.resistance.push_back(electric.resistance);
  trace.power.push_back(electric.power);
  trace.rms.push_back(electric.rms);
  trace.peak.push_back(electric.rms * record.crest_factor);
  trace.current.push_back(electric.current);
  trace.arcing_share.push_back(electric.arcing_share);
  trace.surface.push_back(electric.surface_power);
  trace.electrode.push_back(state.fields.electrode_temperature);
  trace.wet_share.push_back(wet);
  trace.eschar_share.push_back(contact_mean(stepper.domain().contact, state.fields.eschar));
  for (std::size_t e = 0; e < case_.effects.size(); ++e) {
    excess_of(case_.effects[e], fields_of(state), excess_);
    depth_per_column(grid_, excess_, depth_);
    trace.greatest_depth[e].push_back(*std::max_element(depth_.begin(), depth_.end()));
  }
  add_probes(state);
  if (!record.past_range.happened()) record.past_range = passing_of(state);

  if (!state.current_on) return;
  if (trace.time.size() == 1) record.resistance_start = record.resistance_least = electric.resistance;
  record.resistance_least = std::min(record.resistance_least, electric.resistance);
  record.resistance_end = electric.resistance;
  if (std::isnan(record.arcing)) record.arcing = passing(trace.time, trace.arcing_share, arcing_from, 1);
  const bool touches = case_.electrode.contact != ContactKind::gap;
  if (std::isnan(record.dry_out) && touches) record.dry_out = passing(trace.time, trace.wet_share, 0.05, -1);
}

void Recorder::renew(const State& state) {
  Trace& trace = recording_.record.trace;
  const ElectricState& electric = state.electric;
  trace.resistance.back() = electric.resistance;
  trace.power.back() = electric.power;
  trace.rms.back() = electric.rms;
  trace.peak.back() = electric.rms * recording_.record.crest_factor;
  trace.current.back() = electric.current;
  trace.arcing_share.back() = electric.arcing_share;
  trace.surface.back() = electric.surface_power;
}

void Recorder::add_step(const State& state, const Ledger& step) {
  ++recording_.record.steps;
  recording_.record.electric_solves += state.electric.solves;
  recording_.record.electric_iterations += state.electric.iterations;
  recording_.ledger += step;
}

Frame Recorder::frame(const State& state) {
  Frame frame;
  frame.time = seconds(state.time);
  frame.temperature = state.fields.temperature;
  frame.water = state.fields.water;
  frame.omega = state.fields.omega;
  frame.cem43 = state.fields.cem43;
  frame.peak_temperature = state.fields.peak_temperature;
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

ModeRecord Recorder::finished(const Stored& start, const Stored& end_stored, const State& end, bool completed) {
  ModeRecord record = recording_.record;
  record.completed = completed;
  for (std::size_t e = 0; e < case_.effects.size(); ++e) {
    excess_of(case_.effects[e], fields_of(end), excess_);
    depth_per_column(grid_, excess_, depth_);
    EffectRecord result;
    result.name = case_.effects[e].name;
    result.depth = *std::max_element(depth_.begin(), depth_.end());
    result.axis_depth = depth_.front();
    result.half_width = surface_half_width(grid_, excess_);
    result.volume = volume_inside(grid_, excess_, begins_);
    result.past_range =
        changed_after(record.past_range, record.trace.time, record.trace.greatest_depth[e], result.depth);
    record.effects.push_back(result);
  }
  const std::vector<double>& peak = end.fields.peak_temperature;
  record.peak_temperature = *std::max_element(peak.begin(), peak.end());
  record.delivered = recording_.ledger.electric_in;
  record.surface = recording_.ledger.surface_in;
  record.ledger = closed(recording_.ledger, start, end_stored);
  return record;
}

}  // namespace dryfront
