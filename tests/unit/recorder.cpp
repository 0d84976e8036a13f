// The recorder: probes against fields that a parabola between cell centres meets exactly (even in r, as a field is),
// balances that close by arithmetic, and the times of striking and drying out.
#include "simulation/recorder.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "simulation/run.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

struct RecorderBench {
  Case c;
  Grid grid;
  ModeStepper stepper;
  State start;

  explicit RecorderBench(const Case& given)
      : c(given), grid(case_grid(c)), stepper(c, grid, c.modes[0]), start(stepper.initial_state()) {
    REQUIRE(stepper.switch_current(start, true).what == nullptr);
  }
};

}  // namespace

TEST_CASE("probes interpolate between cell centres and hold the nearest beyond them") {
  Case c = small_case();
  c.probes = {{"inside", 2e-3, 3e-3}, {"axis", 0, 0}, {"corner", 0.03, 0.03}};
  RecorderBench recording(c);
  State& state = recording.start;
  const Grid& grid = recording.grid;
  const auto temperature = [](double r, double z) { return 20 + 1e6 * r * r + 2e3 * z - 3e5 * z * z; };
  const auto ln_omega = [](double r, double z) { return 2 + 2e5 * r * r - 500 * z - 1e4 * z * z; };
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const double r = grid.r()[static_cast<std::size_t>(i)], z = grid.z()[static_cast<std::size_t>(j)];
      state.fields.temperature[grid.index(i, j)] = temperature(r, z);
      state.fields.omega[0][grid.index(i, j)] = std::exp(ln_omega(r, z));
    }
  }
  state.time = 1'500'000'000'000;
  Recorder recorder(recording.c, grid, recording.c.modes[0]);
  recorder.add(recording.stepper, state);
  const ModeRecord record =
      recorder.finished(recording.stepper.stored(state), recording.stepper.stored(state), state, true);
  REQUIRE(record.probes.size() == 3);
  CHECK(record.probes[0].name == "inside");
  CHECK(record.probes[0].time == std::vector<double>{1.5});
  CHECK(record.probes[0].temperature[0] == Approx(temperature(2e-3, 3e-3)).epsilon(1e-12));
  CHECK(record.probes[0].omega[0] == Approx(std::exp(ln_omega(2e-3, 3e-3))).epsilon(1e-10));
  CHECK(record.probes[1].temperature[0] == Approx(temperature(0, grid.z()[0])).epsilon(1e-12));
  CHECK(record.probes[1].omega[0] == Approx(std::exp(ln_omega(0, grid.z()[0]))).epsilon(1e-10));
  CHECK(record.probes[2].temperature[0] == Approx(temperature(grid.r().back(), grid.z().back())).epsilon(1e-12));
}

TEST_CASE("damage too small for a logarithm is recorded as none") {
  Case c = small_case();
  c.probes = {{"unhurt", 2e-3, 3e-3}};
  RecorderBench recording(c);
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  for (const double omega : {0.0, 1e-13}) {
    std::fill(recording.start.fields.omega[0].begin(), recording.start.fields.omega[0].end(), omega);
    recorder.add(recording.stepper, recording.start);
  }
  const ModeRecord record = recorder.finished(recording.stepper.stored(recording.start),
                                              recording.stepper.stored(recording.start), recording.start, true);
  CHECK(record.probes[0].omega == std::vector<double>{0, 0});
}

TEST_CASE("the balances are the sums of the steps' terms") {
  RecorderBench recording(small_case());
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  State end = recording.start;
  for (double& T : end.fields.temperature) T += 1;
  const double stored = recording.stepper.stored(end).heat - recording.stepper.stored(recording.start).heat;
  CHECK(stored > 0);
  Ledger step;
  step.electric_in = stored;
  step.surface_in = 3;
  step.worst_electric = 1e-9;
  recorder.add_step(recording.start, step);
  step = {};
  step.electric_in = 15;
  step.latent = 1;
  step.air_out = 2;
  step.electrode_out = 3;
  step.far_out = 4;
  step.beyond_out = 1.5;
  step.perfusion_out = 2.5;
  step.spark_out = 2;
  step.metabolic_in = 1;
  step.surface_in = 2;
  step.water_boiled = 1e-3;
  step.worst_electric = 5e-10;
  recorder.add_step(recording.start, step);
  const ModeRecord record =
      recorder.finished(recording.stepper.stored(recording.start), recording.stepper.stored(end), end, true);
  const LedgerRecord& ledger = record.ledger;
  CHECK(ledger.electric == 1e-9);
  CHECK(ledger.electric_in == Approx(stored + 15));
  CHECK(record.delivered == ledger.electric_in);
  CHECK(record.surface == 5);
  CHECK(ledger.far_out == 5.5);
  CHECK(ledger.stored == Approx(stored));
  CHECK(ledger.energy <= 1e-12);                             // 15 + 1 in, 16 out
  CHECK(ledger.water == Approx(1e-3 / ledger.water_start));  // no water left, one gram said to have boiled
  CHECK(record.completed);
}

TEST_CASE("a joule or a gram that is missing shows") {
  RecorderBench recording(small_case());
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  Ledger step;
  step.electric_in = 100;
  step.air_out = 99;
  recorder.add_step(recording.start, step);
  State end = recording.start;
  for (double& s : end.fields.water) s *= 0.99;
  const ModeRecord record =
      recorder.finished(recording.stepper.stored(recording.start), recording.stepper.stored(end), end, false);
  CHECK(record.ledger.water == Approx(0.01).epsilon(1e-9));
  CHECK(record.ledger.energy > 0.005);
  CHECK_FALSE(record.completed);
}

TEST_CASE("striking and drying out are noted when they first happen, while the current is on") {
  RecorderBench recording(small_case());
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  State state = recording.start;
  recorder.add(recording.stepper, state);
  const double wet = state.electric.resistance;
  CHECK(recording.stepper.wet_share(state) == Approx(1));
  state.time = 1'000'000'000'000;
  state.electric.arcing_share = 0.02;
  state.electric.resistance = 0.5 * wet;
  recorder.add(recording.stepper, state);
  state.time = 2'000'000'000'000;
  std::fill(state.fields.water.begin(), state.fields.water.end(), 0.04);
  state.electric.resistance = 3 * wet;
  recorder.add(recording.stepper, state);
  state.time = 3'000'000'000'000;
  state.electric.resistance = 9 * wet;
  state.current_on = false;
  recorder.add(recording.stepper, state);
  const ModeRecord record =
      recorder.finished(recording.stepper.stored(recording.start), recording.stepper.stored(state), state, true);
  // between the rows by straight lines: 0.1 % of 2 %, and the wet share from 1 to 0.04 through 0.05
  CHECK(record.arcing == Approx(0.05));
  CHECK(record.dry_out == Approx(1 + 0.95 / 0.96));
  CHECK(record.resistance_start == wet);
  CHECK(record.resistance_least == 0.5 * wet);
  CHECK(record.resistance_end == 3 * wet);
  CHECK(record.trace.time == std::vector<double>{0, 1, 2, 3});
  CHECK(record.trace.greatest_depth.size() == 2);
  CHECK(record.trace.wet_share[3] == Approx(0.04));
}

TEST_CASE("what did not happen has no time") {
  RecorderBench recording(small_case());
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  recorder.add(recording.stepper, recording.start);
  const ModeRecord record = recorder.finished(recording.stepper.stored(recording.start),
                                              recording.stepper.stored(recording.start), recording.start, true);
  CHECK(std::isnan(record.arcing));
  CHECK(std::isnan(record.dry_out));
  CHECK(record.effects[0].depth == 0);
}

TEST_CASE("a frame holds every field once per cell, heating per volume") {
  RecorderBench recording(small_case());
  Recorder recorder(recording.c, recording.grid, recording.c.modes[0]);
  const Frame frame = recorder.frame(recording.start);
  const std::size_t cells = recording.grid.cells();
  for (const auto* field : {&frame.temperature, &frame.water, &frame.cem43, &frame.peak_temperature, &frame.heating,
                            &frame.potential, &frame.conductivity, &frame.omega[0]}) {
    CHECK(field->size() == cells);
  }
  double heat = 0;
  for (int j = 0; j < recording.grid.rows(); ++j) {
    for (int i = 0; i < recording.grid.columns(); ++i) {
      heat += frame.heating[recording.grid.index(i, j)] * recording.grid.volume(i, j);
    }
  }
  const ElectricState& electric = recording.start.electric;
  CHECK(heat == Approx(electric.volume_power + electric.surface_power - recording.start.spark_loss).epsilon(1e-9));
  CHECK(frame.depth.size() == 2);
  CHECK(frame.depth[0].size() == recording.grid.r().size());
}

TEST_CASE("the first cell past 300 C is noted with its time, and the depths that changed after it") {
  Case c = small_case();
  c.effects = {{"hot", EffectKind::peak_temperature, 0, 250}, {"warm", EffectKind::peak_temperature, 0, 60}};
  RecorderBench recording(c);
  const Grid& grid = recording.grid;
  State& state = recording.start;
  Recorder recorder(recording.c, grid, recording.c.modes[0]);
  const auto heat_rows = [&](int rows, double temperature) {
    for (int j = 0; j < rows; ++j) {
      for (int i = 0; i < grid.columns(); ++i) state.fields.peak_temperature[grid.index(i, j)] = temperature;
    }
  };
  const auto step_to = [&](Ticks time) {
    state.time = time;
    recorder.add(recording.stepper, state);
  };
  heat_rows(4, 100);
  step_to(1'000'000'000'000);
  state.fields.peak_temperature[grid.index(2, 1)] = 300;  // not past it yet
  step_to(2'000'000'000'000);
  state.fields.peak_temperature[grid.index(2, 1)] = 301;
  step_to(3'000'000'000'000);
  state.fields.peak_temperature[grid.index(0, 2)] = 500;  // hotter, but not the first
  step_to(4'000'000'000'000);
  const ModeRecord record =
      recorder.finished(recording.stepper.stored(state), recording.stepper.stored(state), state, true);
  CHECK(record.past_range.time == 3);
  CHECK(record.past_range.r == grid.r()[2]);
  CHECK(record.past_range.z == grid.z()[1]);
  CHECK(record.peak_temperature == 500);
  CHECK(record.effects[0].past_range);        // deeper on the axis since then
  CHECK_FALSE(record.effects[1].past_range);  // four rows, before and after
}
