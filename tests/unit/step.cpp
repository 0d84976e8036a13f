// One step of one mode. Exact: the spreading of a Gaussian (H3) and Pennes relaxation (H6) from exact_values.json,
// where their sources stand; the energy and water balance of every step; second order in time.
#include "simulation/step.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "allocation_count.hpp"
#include "exact_values.hpp"
#include "physics/mechanism.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

Ticks ticks(double time) { return static_cast<Ticks>(std::llround(time * ticks_per_second)); }

// No current, no boundaries: heat alone.
Case heat_only(double conduction, double density, double heat) {
  Case c = small_case();
  Tissue& tissue = c.specimen.layers[0].tissue;
  tissue.conduction = tissue.dry_conduction = conduction;
  tissue.density = density;
  tissue.specific_heat = heat;
  c.specimen.air_heat_transfer = 0;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::insulated;
  c.electrode.heat = ElectrodeHeat::insulated;
  for (const Mechanism& mechanism : mechanisms) c.physics.*mechanism.is_on = false;
  return c;
}

double left_in(const Ledger& ledger) {
  return ledger.electric_in + ledger.metabolic_in - ledger.spark_out - ledger.beyond_out - ledger.air_out -
         ledger.electrode_out - ledger.far_out - ledger.perfusion_out - ledger.latent - ledger.steam_out -
         ledger.pressed_heat_out;
}

}  // namespace

TEST_CASE("without current a warm spot spreads as a Gaussian") {
  const auto exact = exact_values("H3");
  const auto& p = exact["parameters"];
  Case c = heat_only(p["k"], p["rho"], p["c"]);
  c.specimen.radius = c.specimen.depth = 0.012;
  c.specimen.start = p["Ta"];
  c.electrode.radius = 1e-3;
  c.grading = {5e-5, 1.06, 5e-4};
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  const double sr = p["sr"], sz = p["sz"], dT = p["dT"], alpha = exact["values"]["alpha"];
  const auto rise = [&](double r, double z, double t) {
    const double wide_r = sr * sr + 2 * alpha * t, wide_z = sz * sz + 2 * alpha * t;
    return dT * sr * sr / wide_r * sz / std::sqrt(wide_z) * std::exp(-r * r / (2 * wide_r) - z * z / (2 * wide_z));
  };
  const auto worst_after = [&](int steps) {
    now = stepper.initial_state();
    for (int j = 0; j < grid.rows(); ++j) {
      for (int i = 0; i < grid.columns(); ++i) {
        now.fields.temperature[grid.index(i, j)] +=
            rise(grid.r()[static_cast<std::size_t>(i)], grid.z()[static_cast<std::size_t>(j)], 0);
      }
    }
    REQUIRE(stepper.switch_current(now, false).what == nullptr);
    State next = now;
    for (int k = 0; k < steps; ++k) {
      REQUIRE(stepper.step(now, ticks(5.0) / steps, next).converged());
      std::swap(now, next);
    }
    double worst = 0;
    for (int j = 0; j < grid.rows(); ++j) {
      for (int i = 0; i < grid.columns(); ++i) {
        const double wanted = rise(grid.r()[static_cast<std::size_t>(i)], grid.z()[static_cast<std::size_t>(j)], 5);
        worst = std::max(worst, std::abs(now.fields.temperature[grid.index(i, j)] - c.specimen.start - wanted));
      }
    }
    return worst / rise(0, 0, 5);
  };
  CHECK(worst_after(100) <= 2e-3);
  CHECK(now.time == ticks(5.0));
  // 20 steps of 0.25 s, the longest the program takes
  CHECK(worst_after(20) <= 5e-3);
}

TEST_CASE("perfused tissue relaxes to second order in the step") {
  const auto exact = exact_values("H6");
  const auto& p = exact["parameters"];
  Case c = heat_only(0.5, p["rho"], p["c"]);
  Tissue& tissue = c.specimen.layers[0].tissue;
  tissue.metabolic = p["qm"];
  tissue.blood = p["Ta"];
  c.physics.perfusion = true;
  tissue.perfusion = p["W"].get<double>() / tissue.blood_heat;
  c.damage.clear();
  c.effects.clear();
  c.specimen.start = p["T0"];
  c.grading = {1e-3, 1.5, 1e-2};
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  const auto error_with = [&](int steps) {
    State now = stepper.initial_state();
    REQUIRE(stepper.switch_current(now, false).what == nullptr);
    State next = now;
    for (int k = 0; k < steps; ++k) {
      REQUIRE(stepper.step(now, ticks(300.0) / steps, next).converged());
      std::swap(now, next);
    }
    return std::abs(now.fields.temperature[0] - exact["values"]["T_at_t"]["300"].get<double>());
  };
  const double coarse = error_with(6), fine = error_with(12);
  CAPTURE(coarse, fine);
  const double order = std::log2(coarse / fine);
  CHECK(order > 1.7);
  CHECK(order < 2.4);
  CHECK(error_with(600) < 1e-4);
}

TEST_CASE("every step balances energy and water while it boils, strikes and dries") {
  Case c = small_case();
  c.specimen.layers[0].tissue.perfusion = 5e-3;
  c.specimen.layers[0].tissue.metabolic = 700;
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[1]);
  State now = stepper.initial_state();
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  State next = now;
  bool boiled = false, struck = false, covered = false;
  int steps = 0;
  double length = 1e-3;
  while (seconds(now.time) < 3.5) {
    const StepReport report = stepper.step(now, ticks(length), next);
    if (!report.converged() || report.error > c.time.tolerance) {
      length *= 0.3;
      REQUIRE(length > 1e-7);
      continue;
    }
    const double stored = stepper.stored(next).heat - stepper.stored(now).heat;
    const double in = report.ledger.electric_in;
    REQUIRE(in > 0);
    CAPTURE(seconds(now.time), length, in, stored);
    // Round-off of the stored heat, which is a difference of sums of about 10^5 J, sets the scale.
    REQUIRE(std::abs(left_in(report.ledger) - stored) <= 1e-6 * in + 1e-13 * std::abs(stepper.stored(now).heat));
    REQUIRE(std::abs(stepper.stored(now).water - stepper.stored(next).water - report.ledger.water_boiled -
                     report.ledger.pressed_out) <= 1e-12 * stepper.stored(now).water);
    REQUIRE(report.ledger.worst_electric <= 1e-6);
    for (std::size_t k = 0; k < grid.cells(); ++k) {
      REQUIRE(next.fields.water[k] >= -1e-9);
      REQUIRE(next.fields.water[k] <= most_water(stepper.domain(), k, next.fields.temperature[k]) + 1e-5);
      REQUIRE(next.fields.peak_temperature[k] >= next.fields.temperature[k]);
      REQUIRE(next.fields.omega[0][k] >= now.fields.omega[0][k]);
    }
    for (const double eschar : next.fields.eschar) REQUIRE((eschar >= 0 && eschar <= 1));
    boiled = boiled || report.ledger.water_boiled > 0;
    struck = struck || next.electric.arcing_share > 0.01;
    covered = covered || *std::max_element(next.fields.eschar.begin(), next.fields.eschar.end()) > 0.01;
    length = std::min(0.02, report.error > 0.25 * c.time.tolerance ? length : 1.5 * length);
    std::swap(now, next);
    ++steps;
  }
  CAPTURE(steps);
  CHECK(boiled);
  CHECK(struck);
  CHECK(covered);
}

TEST_CASE("the electrode takes the heat that leaves through it") {
  Case c = small_case();
  c.electrode.capacity = 3;
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  std::fill(now.fields.temperature.begin(), now.fields.temperature.end(), 60.0);
  REQUIRE(stepper.switch_current(now, false).what == nullptr);
  State next = now;
  double gone = 0;
  for (int k = 0; k < 50; ++k) {
    const StepReport report = stepper.step(now, ticks(0.02), next);
    REQUIRE(report.converged());
    gone += report.ledger.electrode_out;
    std::swap(now, next);
  }
  CHECK(gone > 1);
  CHECK(now.fields.electrode_temperature == Approx(c.specimen.start + gone / 3).epsilon(1e-12));
}

TEST_CASE("with the current off nothing is heated") {
  const Case c = small_case();
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  REQUIRE(stepper.switch_current(now, false).what == nullptr);
  CHECK(now.electric.power == 0);
  CHECK(now.electric.resistance > 0);  // what a vanishing voltage sees
  State next = now;
  const StepReport report = stepper.step(now, ticks(0.1), next);
  REQUIRE(report.converged());
  CHECK(report.ledger.electric_in == 0);
  for (const double T : next.fields.temperature) REQUIRE(T == Approx(c.specimen.start).epsilon(1e-12));
}

TEST_CASE("tissue rows follow the layers") {
  Case c = small_case();
  c.specimen.layers = {{small_tissue(), 2e-3}, {small_tissue(), 3e-3}, {small_tissue(), 0}};
  const Grid grid = case_grid(c);
  const TissueRows rows = tissue_rows(c.specimen, grid);
  for (int j = 0; j < grid.rows(); ++j) {
    const double z = grid.z()[static_cast<std::size_t>(j)];
    CHECK(rows.of_row[static_cast<std::size_t>(j)] == (z < 2e-3 ? 0u : z < 5e-3 ? 1u : 2u));
  }
}

TEST_CASE("a step allocates nothing once the buffers are there") {
  if (!allocations_are_counted()) return;
  const Case c = small_case();
  const Grid grid = case_grid(c);
  for (const Mode& mode : c.modes) {
    ModeStepper stepper(c, grid, mode);
    State now = stepper.initial_state();
    REQUIRE(stepper.switch_current(now, true).what == nullptr);
    State next = now;
    long counted = 0;
    int with_some = 0, steps = 0;
    for (int k = 0; k < 400; ++k) {
      const long before = allocation_count();
      const StepReport report = stepper.step(now, ticks(2e-3), next);
      const long in_step = allocation_count() - before;
      REQUIRE(report.converged());
      std::swap(now, next);
      if (k < 10) continue;  // warm-up
      counted += in_step;
      with_some += in_step > 0 ? 1 : 0;
      ++steps;
    }
    CAPTURE(mode.name, counted, with_some, steps);
    CHECK(*std::min_element(now.fields.water.begin(), now.fields.water.end()) < 1);  // it has begun to boil
    CHECK(counted == 0);
  }
}

TEST_CASE("tissue that starts hot holds no more water than it can, and goes on from there") {
  Case c = small_case();
  c.specimen.start = 95;
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  const double held = stepper.domain().bound_water.water(95, stepper.domain().spare_room(0));
  REQUIRE(held < 1);
  CHECK(now.fields.water[0] == held);
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  State next = now;
  const StepReport report = stepper.step(now, ticks(1e-4), next);
  REQUIRE(report.converged());
  CHECK(report.error < c.time.tolerance);
}

TEST_CASE("no cell ends a step above its water where less boils off than in the last one") {
  Case c = small_case();
  c.specimen.layers[0].tissue.moisture = 1e-7;
  c.physics.vapour = c.physics.pressed_out_water = false;
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  REQUIRE(stepper.switch_current(now, false).what == nullptr);
  std::fill(now.fields.temperature.begin(), now.fields.temperature.end(), 60.0);
  // As if they had boiled, and now are cool: their neighbours would fill them up for what does not boil any more.
  for (const std::size_t cell : {grid.index(2, 2), grid.index(5, 3)}) {
    now.fields.water[cell] = 0.9;
    now.rates.boil_off[cell] = 4;
  }
  const double before = stepper.stored(now).water;
  State next = now;
  REQUIRE(stepper.step(now, ticks(0.2), next).converged());
  for (std::size_t k = 0; k < grid.cells(); ++k) {
    CAPTURE(k);
    REQUIRE(next.fields.water[k] >= 0);
    REQUIRE(next.fields.water[k] <= 1 + 1e-5);
  }
  CHECK(next.fields.water[grid.index(2, 2)] > 0.9);
  CHECK(stepper.stored(next).water == Approx(before).epsilon(1e-14));
}
