// A run that is stopped and goes on: the same bits as one that was not. Also what the checkpoint's file holds and
// refuses.
#include "simulation/checkpoint.hpp"

#include <algorithm>
#include <atomic>
#include <bit>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"
#include "files/run_file/checkpoint.hpp"
#include "simulation/run.hpp"
#include "simulation/step.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

bool same_bits(double a, double b) { return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b); }

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  if (a.size() != b.size()) return false;
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (!same_bits(a[k], b[k])) return false;
  }
  return true;
}

bool same_bits(const State& a, const State& b) {
  const Fields &f = a.fields, &g = b.fields;
  bool same = a.time == b.time && f.omega.size() == g.omega.size();
  for (std::size_t k = 0; same && k < f.omega.size(); ++k) same = same_bits(f.omega[k], g.omega[k]);
  return same && same_bits(f.temperature, g.temperature) && same_bits(f.water, g.water) &&
         same_bits(f.peak_temperature, g.peak_temperature) && same_bits(f.cem43, g.cem43) &&
         same_bits(f.eschar, g.eschar) && same_bits(f.electrode_temperature, g.electrode_temperature) &&
         same_bits(f.coagulation, g.coagulation) && same_bits(a.control_integral, b.control_integral) &&
         same_bits(a.electric.potential, b.electric.potential) && same_bits(a.heat_source, b.heat_source) &&
         same_bits(a.electric.resistance, b.electric.resistance);
}

bool same_bits(const ModeRecord& a, const ModeRecord& b) {
  const Trace &t = a.trace, &u = b.trace;
  bool same = a.completed == b.completed && a.steps == b.steps && a.rejected_steps == b.rejected_steps &&
              a.electric_solves == b.electric_solves && a.electric_iterations == b.electric_iterations &&
              a.effects.size() == b.effects.size() && a.probes.size() == b.probes.size();
  for (const auto column :
       {&Trace::time, &Trace::resistance, &Trace::power, &Trace::rms, &Trace::peak, &Trace::current,
        &Trace::arcing_share, &Trace::surface, &Trace::electrode, &Trace::wet_share, &Trace::eschar_share}) {
    same = same && same_bits(t.*column, u.*column);
  }
  for (std::size_t k = 0; same && k < a.effects.size(); ++k) {
    same = same_bits(t.greatest_depth[k], u.greatest_depth[k]) && same_bits(a.effects[k].volume, b.effects[k].volume) &&
           same_bits(a.effects[k].depth, b.effects[k].depth);
  }
  for (std::size_t k = 0; same && k < a.probes.size(); ++k) {
    same =
        same_bits(a.probes[k].temperature, b.probes[k].temperature) && same_bits(a.probes[k].omega, b.probes[k].omega);
  }
  return same && same_bits(a.delivered, b.delivered) && same_bits(a.arcing, b.arcing) &&
         same_bits(a.dry_out, b.dry_out) && same_bits(a.resistance_least, b.resistance_least) &&
         same_bits(a.ledger.energy, b.ledger.energy) && same_bits(a.ledger.water, b.ledger.water) &&
         same_bits(a.ledger.electric, b.ledger.electric) && same_bits(a.ledger.latent, b.ledger.latent);
}

// Short, with a tolerance that refuses steps; current off at the end.
Case stopped_case() {
  Case c = small_case();
  c.time.tolerance = 0.05;
  c.probes = {{"below", 0, 1e-3}};
  for (Mode& mode : c.modes) {
    mode.activation = 0.9;
    mode.after = 0.3;
  }
  // What only some cases carry along: a controller and a damage pair of the tissue's own.
  Source& held = c.modes[0].source;
  held.kind = SourceKind::temperature;
  held.probe = "below";
  held.hold = 60;
  held.reset_time = 2;
  Tissue& tissue = c.specimen.layers[0].tissue;
  tissue.coagulation_rise = 1;
  tissue.coagulation_frequency = 1.95e36;
  tissue.coagulation_energy = 2.515e5;
  return c;
}

struct Stopped {
  std::vector<ModeRecord> records;
  std::vector<ModeCheckpoint> checkpoints;
  std::vector<double> frames;  // times [s]
};

// Goes on from `from` and stops as soon as a mode has come to `until` [s].
Stopped run_until(const Case& c, const Grid& grid, double until, const std::vector<ModeCheckpoint>& from = {}) {
  Stopped result;
  result.checkpoints.resize(c.modes.size());
  std::atomic<bool> stop{false};
  Observer observer;
  observer.stop = &stop;
  observer.progress = [&](int, double time, double) {
    if (time >= until) stop = true;
  };
  observer.frame = [&](int, const Frame& frame) { result.frames.push_back(frame.time); };
  observer.checkpoint = [&](int mode, const ModeCheckpoint& at) {
    result.checkpoints[static_cast<std::size_t>(mode)] = at;
  };
  result.records = run(c, grid, observer, 1, from);
  for (std::size_t k = 0; k < result.records.size(); ++k) {
    if (result.records[k].completed) result.checkpoints[k].recording.record = result.records[k];
  }
  return result;
}

constexpr double never = 1e9;

}  // namespace

TEST_CASE("a state alone restarts the steps with the same bits, refused attempts in between or not") {
  const Case c = small_case();
  const Grid grid = case_grid(c);
  constexpr Ticks length = 4'000'000'000;
  for (const Mode& mode : c.modes) {
    ModeStepper stepper(c, grid, mode);
    State now = stepper.initial_state();
    REQUIRE(stepper.switch_current(now, true).what == nullptr);
    State next, other;
    for (int k = 0; k < 250; ++k) {
      REQUIRE(stepper.step(now, length, next).converged());
      std::swap(now, next);
    }
    ModeStepper fresh(c, grid, mode);
    State copy = now;
    for (int k = 0; k < 30; ++k) {
      stepper.step(now, 20 * length, other);  // a step that nobody takes
      const StepReport one = stepper.step(now, length, next);
      std::swap(now, next);
      const StepReport two = fresh.step(copy, length, next);
      std::swap(copy, next);
      CAPTURE(mode.name, k);
      REQUIRE(one.converged());
      REQUIRE(same_bits(now, copy));
      REQUIRE(same_bits(one.error, two.error));
      REQUIRE(same_bits(one.ledger.latent, two.ledger.latent));
      REQUIRE(same_bits(one.ledger.electrode_out, two.ledger.electrode_out));
    }
  }
}

TEST_CASE("a run stopped three times ends as one that was not") {
  const Case c = stopped_case();
  const Grid grid = case_grid(c);
  const Stopped whole = run_until(c, grid, never);
  REQUIRE(whole.records[0].completed);
  int refused = 0;
  for (const ModeRecord& record : whole.records) refused += record.rejected_steps;
  CHECK(refused > 0);
  std::vector<ModeCheckpoint> from;
  std::vector<double> frames;
  Stopped part;
  for (const double until : {0.05, 0.6, 1.0, never, never}) {
    part = run_until(c, grid, until, from);
    from = part.checkpoints;
    frames.insert(frames.end(), part.frames.begin(), part.frames.end());
  }
  for (std::size_t k = 0; k < whole.records.size(); ++k) {
    CAPTURE(k);
    CHECK(same_bits(part.records[k], whole.records[k]));
  }
  std::vector<double> wanted = whole.frames;
  std::sort(frames.begin(), frames.end());
  std::sort(wanted.begin(), wanted.end());
  CHECK(same_bits(frames, wanted));
}

TEST_CASE("a checkpoint comes back from its file with every bit") {
  const Case c = stopped_case();
  const Grid grid = case_grid(c);
  const Stopped stopped = run_until(c, grid, 0.5);
  REQUIRE_FALSE(stopped.records[0].completed);
  const std::string path = (std::filesystem::temp_directory_path() / "dryfront_unit.h5.checkpoint").string();
  write_checkpoint(path, {"case", "revision", 1.5, stopped.checkpoints});
  const RunCheckpoint read = read_checkpoint(path, "case", "revision");
  CHECK(read.wall_s == 1.5);
  REQUIRE(read.modes.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) CHECK(same_bits(read.modes[k].state, stopped.checkpoints[k].state));
  CHECK(stopped.checkpoints[0].state.control_integral != 0);
  CHECK(stopped.checkpoints[0].state.fields.coagulation.size() == grid.cells());
  CHECK(read.modes[0].frames == stopped.checkpoints[0].frames);
  const Stopped kept = run_until(c, grid, never, stopped.checkpoints);
  const Stopped from_file = run_until(c, grid, never, read.modes);
  for (std::size_t k = 0; k < 2; ++k) CHECK(same_bits(kept.records[k], from_file.records[k]));
  CHECK_THROWS_AS(read_checkpoint(path, "another case", "revision"), CaseError);
  CHECK_THROWS_AS(read_checkpoint(path, "case", "another revision"), CaseError);
  remove_checkpoint(path);
  CHECK_THROWS_AS(read_checkpoint(path, "case", "revision"), FileError);
}
