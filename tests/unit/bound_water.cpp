// Bound water: the law itself (values of Yang et al. 2007, from memory), its derivative, integral and inverse; cells
// and stages that boil along it.
#include "physics/bound_water.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <vector>

#include "numerics/flux.hpp"
#include "physics/heat.hpp"
#include "random_fields.hpp"
#include "simulation/run.hpp"
#include "simulation/step.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

// A cell of one cubic metre.
EnthalpyLaw cell_of(const BoundWater& bound, double start, double water, double spare) {
  EnthalpyLaw u{{start}, {1e6 + water * 2.8e6}, {1e6}, {1.6e9 * water}, {bound.temperature(water, spare)}};
  u.exact = {1};
  u.bound = &bound;
  u.water = {water};
  u.spare = {spare};
  return u;
}

}  // namespace

TEST_CASE("tissue holds all its water up to 70 C, half of it at 103.6 C, and a fifth at some 135 C") {
  const BoundWater bound(3.42, 34.37);
  CHECK(bound.water(70) == Approx(1).epsilon(1e-14));
  CHECK(bound.water(50) > 1);
  CHECK(bound.water(90) == Approx(1 - std::exp(-16 / 3.42)).margin(3e-5));
  CHECK(bound.kink() == Approx(103.608).margin(1e-3));
  CHECK(bound.water_at_kink() == Approx(0.50315).margin(1e-5));
  CHECK(bound.water(135.3) == Approx(std::exp(-55.3 / 34.37)).epsilon(1e-12));
}

TEST_CASE("slope, integral and inverse belong to the law, over the range of its widths") {
  for (const double onset : {2.0, 3.0, 3.42, 4.0, 5.0}) {
    for (const double tail : {20.0, 25.0, 34.37, 45.0, 60.0}) {
      const BoundWater bound(onset, tail);
      double before = bound.water(40);
      for (double T = 40.5; T < 300; T += 0.5) {
        CAPTURE(onset, tail, T);
        REQUIRE(bound.water(T) < before);
        before = bound.water(T);
        if (T > 70) REQUIRE(bound.temperature(before) == Approx(T).epsilon(1e-9));
        if (std::abs(T - bound.kink()) < 1e-3) continue;
        REQUIRE(bound.slope(T) ==
                Approx((bound.water(T + 1e-4) - bound.water(T - 1e-4)) / 2e-4).epsilon(1e-5).margin(1e-11));
      }
      const double near = std::nextafter(bound.kink(), 0.0);
      CHECK(bound.water(near) == Approx(bound.water_at_kink()).epsilon(1e-12));
      for (const double to : {60.0, 95.0, 110.0, 250.0}) {
        constexpr int parts = 20000;
        double sum = 0;
        for (int k = 0; k < parts; ++k) sum += bound.water(40 + (to - 40) * (k + 0.5) / parts) * (to - 40) / parts;
        CHECK(bound.integral(40, to) == Approx(sum).epsilon(1e-6));
      }
    }
  }
}

TEST_CASE("a gas space dries from 70 C to 100 C, and the law is as before where there is none") {
  const BoundWater bound(3.42, 34.37);
  CHECK(bound.water(70, 0.1) == Approx(1.1).epsilon(1e-14));
  CHECK(bound.water(85, 0.1) == Approx(bound.water(85) + 0.05).epsilon(1e-14));
  for (double T = 60; T < 130; T += 0.37) {
    CAPTURE(T);
    if (T >= 100) REQUIRE(bound.water(T, 0.1) == bound.water(T));
    REQUIRE(bound.temperature(bound.water(T, 0.1), 0.1) == Approx(T).epsilon(1e-9));
    REQUIRE(bound.integral(40, T, 0.1) - bound.integral(40, T) ==
            Approx(0.1 / 60 * (3600 - std::pow(std::max(0.0, 100 - T), 2))).epsilon(1e-10));
    const double change = (bound.water(T + 1e-4, 0.1) - bound.water(T - 1e-4, 0.1)) / 2e-4;
    if (std::abs(T - 100) > 1e-3 && std::abs(T - bound.kink()) > 1e-3) {
      REQUIRE(bound.slope(T, 0.1) == Approx(change).epsilon(1e-5));
    }
  }
}

TEST_CASE("the temperature at which tissue holds so much is found from wherever the search begins") {
  const BoundWater bound(3.42, 34.37);
  for (const double water : {1.09, 1.02, 1.0, 0.9, 0.84, 0.5, 0.01}) {
    for (const double guess : {-20.0, 60.0, 85.0, 99.0, 140.0}) {
      CAPTURE(water, guess);
      CHECK(bound.temperature_near(guess, water, 0.1) == Approx(bound.temperature(water, 0.1)).epsilon(1e-12));
    }
  }
}

TEST_CASE("a cell's temperature is found from the heat it took up, wherever it begins") {
  const BoundWater bound(3.42, 34.37);
  for (const double water : {1.1, 1.0, 0.7, 0.503, 0.3, 0.02, 1e-5}) {
    const double spare = water > 0.6 ? 0.1 : 0;
    for (const double start : {20.0, 95.0, 160.0}) {
      const EnthalpyLaw u = cell_of(bound, start, water, spare);
      double before = -1e300;
      for (double heat = -1e8; heat < 3e9; heat += 3e6) {
        const double T = temperature_at_enthalpy(u, 0, heat);
        CAPTURE(water, start, heat, T);
        REQUIRE(T > before);
        before = T;
        const double left = water * (1 - vaporised_fraction(u, 0, heat));
        REQUIRE(left == Approx(std::min(water, bound.water(T, spare))).epsilon(1e-9).margin(1e-15));
        if (T > u.boiling_point[0]) REQUIRE(bound_enthalpy(u, 0, T).heat == Approx(heat).margin(1));
      }
    }
  }
}

TEST_CASE("a stage along the law is exact in energy, each cell on its law") {
  Draws draws(41);
  const std::vector<double> marks{0.0};
  const auto faces = graded_faces(0, 0.01, {}, marks, {1e-4, 1.3, 1e-3});
  const Grid grid(faces, faces);
  Electrode electrode;
  electrode.radius = grid.r_face()[3];
  const ContactGeometry contact = contact_geometry(grid, electrode);
  const BoundWater bound(3.42, 34.37);
  HeatStage stage(grid.columns(), grid.rows());
  int boiling = 0, most_passes = 0;
  for (int draw = 0; draw < 20; ++draw) {
    for (const double duration : {1e-4, 1e-2, 0.3, 10.0}) {
      HeatOperator heat;
      heat.outlet_temperature.fill(30);
      set_heat_operator(grid, contact, {10, false, true, true}, std::vector<double>(contact.faces.size(), 800),
                        std::vector<double>(grid.cells(), 0.5), {}, heat);
      EnthalpyLaw u;
      u.bound = &bound;
      std::vector<double> known;
      for (int j = 0; j < grid.rows(); ++j) {
        for (int i = 0; i < grid.columns(); ++i) {
          const double volume = grid.volume(i, j), water = draws.uniform() < 0.1 ? 0 : 1.1 * draws.uniform();
          u.start.push_back(20 + 130 * draws.uniform());
          u.water.push_back(water);
          u.spare.push_back(0.1);
          u.wet.push_back((1e6 + 2.8e6 * water) * volume);
          u.dry.push_back(1e6 * volume);
          u.latent.push_back(1.6e9 * water * volume);
          u.exact.push_back(draws.uniform() < 0.8 ? 1 : 0);  // else a lower bound
          u.boiling_point.push_back(water > 0 ? bound.temperature(water, 0.1) - (u.exact.back() != 0 ? 0 : 5) : 100);
          known.push_back((draws.uniform() < 0.5 ? draws.spread(1e7, 2) : 0.0) * volume);
        }
      }
      std::vector<double> temperature = u.start, gained(grid.cells()), face(grid.cells());
      const auto report = stage.solve(heat, u, known, duration, 1e-3, temperature, gained, face);
      CAPTURE(draw, duration, report.passes);
      REQUIRE(report.converged);
      most_passes = std::max(most_passes, report.passes);
      double gone = 0;
      for (std::size_t o = 0; o < heat_outlets; ++o) {
        gone += outlet_heat(heat, static_cast<HeatOutlet>(o), face, duration);
      }
      for (std::size_t c = 0; c < grid.cells(); ++c) {
        REQUIRE(temperature[c] == Approx(temperature_at_enthalpy(u, c, gained[c])).margin(1e-9));
        REQUIRE(std::abs(temperature[c] - face[c]) <= 0.02);
        const double share = vaporised_fraction(u, c, gained[c]);
        boiling += share > 0 && share < 1 ? 1 : 0;
      }
      const double in = std::accumulate(known.begin(), known.end(), 0.0);
      const double kept = std::accumulate(gained.begin(), gained.end(), 0.0);
      CHECK(std::abs(kept + gone - in) <= 1e-11 * (in + std::abs(gone)));
    }
  }
  CHECK(boiling > 1000);
  CAPTURE(most_passes);
  CHECK(most_passes <= 12);
}

TEST_CASE("every step with bound water balances energy and water, and no cell holds more than tissue can") {
  Case c = small_case();
  c.physics.bound_water = true;
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[1]);
  State now = stepper.initial_state();
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  State next = now;
  double length = 1e-3, hottest = 0;
  while (seconds(now.time) < 2.5) {
    const StepReport report = stepper.step(now, static_cast<Ticks>(std::llround(length * ticks_per_second)), next);
    if (!report.converged() || report.error > c.time.tolerance) {
      length *= 0.3;
      REQUIRE(length > 1e-7);
      continue;
    }
    const Ledger& l = report.ledger;
    const double kept = l.electric_in + l.metabolic_in - l.spark_out - l.beyond_out - l.air_out - l.electrode_out -
                        l.far_out - l.perfusion_out - l.latent - l.steam_out - l.pressed_heat_out;
    const double stored = stepper.stored(next).heat - stepper.stored(now).heat;
    CAPTURE(seconds(now.time), length, l.electric_in, stored);
    REQUIRE(std::abs(kept - stored) <= 1e-6 * l.electric_in + 1e-13 * std::abs(stepper.stored(now).heat));
    REQUIRE(std::abs(stepper.stored(now).water - stepper.stored(next).water - l.water_boiled - l.pressed_out) <=
            1e-12 * stepper.stored(now).water);
    for (std::size_t k = 0; k < grid.cells(); ++k) {
      REQUIRE(next.fields.water[k] >= 0);
      REQUIRE(next.fields.water[k] <= most_water(stepper.domain(), k, next.fields.temperature[k]) + 1e-5);
      hottest = std::max(hottest, next.fields.temperature[k]);
    }
    length = std::min(0.02, report.error > 0.25 * c.time.tolerance ? length : 1.5 * length);
    std::swap(now, next);
  }
  CHECK(hottest > 115);
}
