// Water that heated tissue presses out. Drainage of a half-space by the error function (H. S. Carslaw and J. C. Jaeger,
// Conduction of Heat in Solids (1959), from memory; the same equation).
#include "physics/pressed_water.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "physics/water.hpp"
#include "random_fields.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

constexpr double loss_at_90 = 0.2;

struct Tank {
  Grid grid;
  TissueRows rows;
  ContactGeometry contact;
  Moisture moisture;
  PressedWater pressed;
  std::vector<double> water, temperature, boil_rate, inflow, enthalpy;
  double pressed_out = 0, pressed_heat = 0;

  Tank(std::vector<double> r_face, std::vector<double> z_face, double capillary, double diffusivity)
      : grid(std::move(r_face), std::move(z_face)),
        rows(one_tissue(grid, capillary)),
        contact(contact_geometry(grid, covering_half(grid))),
        moisture(grid, rows, contact, std::vector<double>(1, 1.0), 0, Moisture::FlowTime::middle),
        pressed(grid, rows, contact, diffusivity, loss_at_90),
        water(grid.cells(), 1.0),
        temperature(grid.cells(), 90.0),
        boil_rate(grid.cells(), 0.0),
        inflow(grid.cells()),
        enthalpy(grid.cells()) {}
  Tank(const Tank&) = delete;
  Tank& operator=(const Tank&) = delete;

  static TissueRows one_tissue(const Grid& grid, double capillary) {
    TissueRows rows;
    rows.tissue.resize(1);
    rows.tissue[0].moisture = capillary;
    rows.of_row.assign(static_cast<std::size_t>(grid.rows()), 0);
    return rows;
  }
  static Electrode covering_half(const Grid& grid) {
    Electrode electrode;
    electrode.radius = grid.r_face()[static_cast<std::size_t>(grid.columns() / 2)];
    return electrode;
  }

  void step(double dt) {
    pressed.set_temperature(temperature);
    REQUIRE(moisture.flow(dt, water, boil_rate, temperature, &pressed, inflow, enthalpy).converged);
    for (std::size_t c = 0; c < water.size(); ++c) water[c] += inflow[c];
    pressed_out += moisture.pressed_out();
    pressed_heat += moisture.pressed_heat();
  }
};

}  // namespace

TEST_CASE("raw tissue holds its water, at 90 C it has lost the stated share of its mass") {
  CHECK(equilibrium_water(20, loss_at_90, 0.7) == Approx(1).margin(1e-4));
  CHECK(equilibrium_water(37, loss_at_90, 0.7) == Approx(1).margin(1e-3));
  CHECK(equilibrium_water(90, loss_at_90, 0.7) == Approx(1 - 0.2 / 0.7));
  double before = 1 + 1e-12;
  for (double T = 0; T < 150; T += 1) {
    const double here = equilibrium_water(T, loss_at_90, 0.7);
    CHECK(here <= before);
    before = here;
  }
}

// u = s - s_eq = dC erf(z/(2 sqrt(D t))), pressed out per area W0 dC 2 sqrt(D t/pi).
TEST_CASE("a half-space drains by the error function") {
  constexpr double D = 1e-9, duration = 10, radius = 1e-3, depth = 2e-3;
  constexpr int steps = 400;
  const std::vector<double> surface{0.0};
  Tank tank({0, 0.5 * radius, radius}, graded_faces(0, depth, {}, surface, {2e-6, 1.02, 2e-5}), 0, D);
  double before = 0;
  for (int k = 1; k <= steps; ++k) {  // short ones at the start, where the flow is without bound
    const double now = duration * std::pow(static_cast<double>(k) / steps, 3);
    tank.step(now - before);
    before = now;
  }
  const double excess = loss_at_90 / tank.rows.tissue[0].water_fraction;
  const double area = std::numbers::pi * radius * radius;
  const double exact =
      initial_water(tank.rows.tissue[0]) * area * excess * 2 * std::sqrt(D * duration / std::numbers::pi);
  CHECK(tank.pressed_out == Approx(exact).epsilon(1e-3));
  for (int j = 0; j < tank.grid.rows(); ++j) {
    const double z = tank.grid.z()[static_cast<std::size_t>(j)];
    const double profile = 1 - excess + excess * std::erf(z / (2 * std::sqrt(D * duration)));
    CHECK(tank.water[tank.grid.index(0, j)] == Approx(profile).margin(1e-3 * excess));
    CHECK(tank.water[tank.grid.index(1, j)] == Approx(profile).margin(1e-3 * excess));
  }
}

TEST_CASE("what is pressed out leaves, and nothing is made or lost inside") {
  Draws draws(31);
  const std::vector<double> surface{0.0};
  const auto faces = graded_faces(0, 0.01, {}, surface, {1e-4, 1.15, 1e-3});
  for (const double dt : {1e-3, 0.1, 10.0}) {
    Tank tank(faces, faces, 8e-10, 1e-8);
    tank.water = draws.field(tank.grid.cells(), 0, 1);
    tank.temperature = draws.field(tank.grid.cells(), 20, 250);
    for (double& s : tank.water) s = draws.uniform() < 0.2 ? 0 : s;
    const auto before = tank.water;
    tank.step(dt);
    double gained = 0, moved = 0, heat = 0;
    for (int j = 0; j < tank.grid.rows(); ++j) {
      for (int i = 0; i < tank.grid.columns(); ++i) {
        const std::size_t c = tank.grid.index(i, j);
        const double capacity = initial_water(tank.rows.tissue[0]) * tank.grid.volume(i, j);
        gained += capacity * tank.inflow[c];
        moved += capacity * std::abs(tank.inflow[c]);
        heat += tank.enthalpy[c];
        CHECK(tank.water[c] >= -1e-12);
        CHECK(tank.water[c] <= 1 + 2e-6);
      }
    }
    CAPTURE(dt);
    CHECK((tank.pressed_out > 0) == (dt < 1));  // in the longest step all of it goes to drier tissue
    CHECK(std::abs(gained + tank.pressed_out) <= 1e-13 * moved);
    CHECK(heat == Approx(-tank.pressed_heat).epsilon(1e-10).margin(1e-12));
  }
}

TEST_CASE("pressed-out water closes the ledgers of a drying case, and off it changes no bit") {
  const auto trace_of = [](const Case& c) { return run(c, case_grid(c), {}, 1)[0]; };
  Case c = small_case();
  c.modes.resize(1);
  c.physics.pressed_out_water = false;
  const ModeRecord off = trace_of(c);
  CHECK(off.ledger.pressed_out == 0);
  Case other = c;
  other.physics.pressed_diffusivity = 1e-8;
  other.physics.pressed_loss = 0.3;
  CHECK(trace_of(other).trace.resistance == off.trace.resistance);
  for (const bool moisture : {false, true}) {
    c.physics.moisture = moisture;
    c.physics.pressed_out_water = true;
    const ModeRecord on = trace_of(c);
    CAPTURE(moisture);
    CHECK(on.ledger.pressed_out > 1e-7);
    CHECK(on.ledger.energy < 1e-6);
    CHECK(on.ledger.water < 1e-9);
    CHECK(on.trace.resistance != off.trace.resistance);
  }
}
