// Vapour: its law and means, the bounds of what cells give and take, steps with vapour alone and with everything that
// moves water, and steam that is kept. Exact: conservation, and arithmetic.
#include "physics/vapour.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "physics/face_flow.hpp"
#include "random_fields.hpp"
#include "simulation/kept_steam.hpp"
#include "simulation/run.hpp"
#include "simulation/step.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

Ticks ticks(double time) { return static_cast<Ticks>(std::llround(time * ticks_per_second)); }

// Marches a mode by error control and hands every accepted step to `see`.
template <class See>
void march(const Case& c, const Mode& mode, double until, See see) {
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, mode);
  State now = stepper.initial_state();
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  State next = now;
  double length = 1e-3;
  while (seconds(now.time) < until) {
    const StepReport report = stepper.step(now, ticks(length), next);
    if (!report.converged() || report.error > c.time.tolerance) {
      length *= 0.3;
      REQUIRE(length > 1e-7);
      continue;
    }
    see(stepper, now, next, report.ledger, length);
    length = std::min(0.05, report.error > 0.25 * c.time.tolerance ? length : 1.5 * length);
    std::swap(now, next);
  }
}

}  // namespace

TEST_CASE("means of the vapour's diffusion are those of the law, and nothing goes above 100 C") {
  const MeanVapourDiffusion mean;
  CHECK(vapour_diffusion(100) == 0);
  for (double below = 1e-14; below < 1e-3; below *= 1.7) REQUIRE(vapour_diffusion(100 - below) < 1e-7);
  CHECK(vapour_diffusion(99.999) < 1e-2 * vapour_diffusion(98));
  CHECK(mean.between(100, 180) == 0);
  for (const double from : {-3.0, 5.0, 37.0, 80.0, 97.5, 99.0}) {
    for (const double to : {20.0, 60.0, 97.0, 98.5, 120.0}) {
      constexpr int parts = 100000;
      double sum = 0;
      for (int k = 0; k < parts; ++k) sum += vapour_diffusion(from + (to - from) * (k + 0.5) / parts) / parts;
      CAPTURE(from, to);
      CHECK(mean.between(from, to) == Approx(sum).epsilon(1e-5));
      CHECK(mean.between(from, to) == Approx(mean.between(to, from)).epsilon(1e-12));
    }
    CHECK(mean.between(from, from + 1e-6) == Approx(mean.between(from - 0.002, from + 0.002)).epsilon(1e-3));
  }
}

TEST_CASE("gas space grows as water goes, closes as a cell fills, and little water gives little vapour") {
  CHECK(gas_space(0.1, 1) == Approx(0.1).epsilon(1e-14));
  CHECK(gas_space(0.1, 0.5) == Approx(0.475).epsilon(1e-14));
  CHECK(open_space(0.1, 0.5, 1.1) == gas_space(0.1, 0.5));
  CHECK(open_space(0.1, 1, 1.1) == gas_space(0.1, 1));
  CHECK(open_space(0.1, 1.099, 1.1) == Approx(0.004).epsilon(1e-9));
  CHECK(open_space(0.1, 1.1, 1.1) == 0);
  CHECK(open_space(0.1, 0.8, 0.7) == 0);
  CHECK(gives_vapour(0) == 0);
  CHECK(gives_vapour(0.05) == Approx(0.5).epsilon(1e-14));
  CHECK(gives_vapour(0.2) == 1);
}

TEST_CASE("the water of a cell that is offered vapour and gives some solves its equation within its limits") {
  Draws draws(52);
  int full = 0, dry = 0;
  for (int draw = 0; draw < 20000; ++draw) {
    const double gas = 0.2 * draws.uniform(), most = 0.2 + (0.8 + gas) * draws.uniform();
    const double before = most * draws.uniform() * (draws.uniform() < 0.1 ? 0.01 : 1);
    const double offered = draws.spread(1, 4) * draws.uniform(), asked = draws.spread(1, 4) * draws.uniform();
    const double water = water_with_vapour(before, gas, most, offered, asked);
    const double right = before + offered * open_space(gas, water, most) - asked * gives_vapour(water);
    CAPTURE(draw, gas, most, before, offered, asked, water);
    REQUIRE(std::abs(water - right) <= 1e-12 * (1 + offered + asked));
    REQUIRE(water >= 0);
    REQUIRE(water <= most);
    full += water > most - 0.01 ? 1 : 0;
    dry += water < 0.1 ? 1 : 0;
  }
  CHECK(full > 20);
  CHECK(dry > 100);
}

TEST_CASE("faces are open to vapour by the water that their cells end with") {
  Draws draws(53);
  const std::vector<double> faces{0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
  const Grid grid(faces, faces);
  VapourOpening opening(grid);
  for (int draw = 0; draw < 200; ++draw) {
    const auto potential = draws.field(grid.cells(), 0, 1), before = draws.field(grid.cells(), 0, 1.05);
    const std::vector<double> most(grid.cells(), 1.1), gas(grid.cells(), 0.1), capacity(grid.cells(), 2.0);
    const double strength = draws.spread(3, 2);
    FaceFlow offered(grid);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      for_each_flow(offered, c, [&](std::size_t neighbour, double& mass, double sign) {
        mass = sign * strength * (potential[c] - potential[neighbour]);
      });
    }
    opening.find(offered, before, most, gas, capacity);
    const auto &space = opening.space(), &giving = opening.giving();
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      double water = before[c];
      for_each_flow(offered, c, [&](std::size_t n, double& mass, double sign) {
        const double out = sign * mass;
        water -= out * (out > 0 ? giving[c] * space[n] : giving[n] * space[c]) / capacity[c];
      });
      CAPTURE(draw, strength, c, water);
      REQUIRE(water >= -1e-3);
      REQUIRE(water <= 1.1 + 1e-3);
      REQUIRE(space[c] == Approx(open_space(0.1, water, 1.1)).margin(5e-3));
      REQUIRE(giving[c] == Approx(gives_vapour(water)).margin(5e-3));
    }
  }
}

TEST_CASE("bounded flows leave every cell with no less and no more than it may") {
  Draws draws(51);
  const std::vector<double> faces{0, 1, 2, 3, 4, 5, 6, 7};
  const Grid grid(faces, faces);
  FlowBounds bounds(grid);
  int cut = 0;
  for (int draw = 0; draw < 300; ++draw) {
    const auto potential = draws.field(grid.cells(), 0, 1);
    auto may_lose = draws.field(grid.cells(), 0, 1), may_gain = draws.field(grid.cells(), 0, 0.3);
    for (double& gain : may_gain) gain = draws.uniform() < 0.4 ? 0 : gain;
    FaceFlow flow(grid);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      for_each_flow(flow, c, [&](std::size_t neighbour, double& mass, double sign) {
        mass = sign * 3 * (potential[c] - potential[neighbour]);
      });
    }
    const FaceFlow wanted = flow;
    bounds.bound_losses(potential, may_lose, flow);
    bounds.bound_gains(potential, may_gain, flow);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      double gained = 0;
      for_each_flow(flow, c, [&](std::size_t, double& mass, double sign) { gained -= sign * mass; });
      CAPTURE(draw, c, gained, may_lose[c], may_gain[c]);
      REQUIRE(gained >= -may_lose[c] - 1e-13);
      REQUIRE(gained <= may_gain[c] + 1e-13);
      REQUIRE(flow.east[c] * wanted.east[c] >= 0);
      REQUIRE(std::abs(flow.east[c]) <= std::abs(wanted.east[c]));
      REQUIRE(std::abs(flow.south[c]) <= std::abs(wanted.south[c]));
      cut += flow.east[c] != wanted.east[c] ? 1 : 0;
    }
  }
  CHECK(cut > 1000);
}

TEST_CASE("every step with vapour balances energy and water within bounds") {
  for (const bool bound : {false, true}) {
    for (const double kept : {0.0, 0.6}) {
      Case c = small_case();
      c.physics.vapour = true;
      c.physics.bound_water = bound;
      c.physics.pressed_out_water = false;  // it fills cells, which then refuse
      c.physics.spark_law = SparkLaw::area;
      c.physics.steam_kept = kept;
      c.specimen.layers = {{small_tissue(), 1.2e-3}, {small_tissue(), 0}};
      c.specimen.layers[1].tissue.gas_fraction = 0.03;
      c.specimen.layers[1].tissue.latent = 2.4e6;
      Ledger sum;
      march(
          c, c.modes[1], 2.5, [&](ModeStepper& stepper, const State& now, const State& next, const Ledger& l, double) {
            const double left = l.electric_in + l.metabolic_in - l.spark_out - l.beyond_out - l.air_out -
                                l.electrode_out - l.far_out - l.perfusion_out - l.latent - l.steam_out -
                                l.pressed_heat_out;
            const double stored = stepper.stored(next).heat - stepper.stored(now).heat;
            CAPTURE(bound, kept, seconds(now.time), l.electric_in, stored);
            REQUIRE(std::abs(left - stored) <= 1e-6 * l.electric_in + 1e-13 * std::abs(stepper.stored(now).heat));
            REQUIRE(std::abs(stepper.stored(now).water - stepper.stored(next).water - l.water_boiled - l.pressed_out) <=
                    1e-12 * stepper.stored(now).water);
            for (std::size_t k = 0; k < next.fields.water.size(); ++k) {
              const double T = next.fields.temperature[k];
              REQUIRE(next.fields.water[k] >= -1e-12);
              REQUIRE(next.fields.water[k] <= most_water(stepper.domain(), k, T) + 1e-5);
              // steam that is kept may fill a cell after vapour was let in: that is given back as it comes, to boil
              // next
              if (!bound && next.fields.water[k] > 0.05) REQUIRE(T <= 100 + (kept > 0 ? 1 : 1e-6));
            }
            sum += l;
          });
      CAPTURE(bound, kept);
      CHECK(sum.vapour_condensed > 1e-8);
      CHECK(sum.vapour_refused < 1e-3 * sum.vapour_condensed);
      CHECK(sum.water_boiled > 0);
      CHECK((kept > 0) == (sum.steam_kept > 0));
    }
  }
}

TEST_CASE("vapour's numbers do not matter while it is off, nor the rise of conduction while it is on") {
  const auto depth_of = [](const Case& c) { return run(c, case_grid(c), {}, 1)[0].trace.resistance; };
  Case c = small_case();
  c.modes.resize(1);
  c.modes[0].activation = 0.6;
  c.physics.vapour = c.physics.pressed_out_water = false;
  Case other = c;
  other.specimen.layers[0].tissue.gas_fraction = 0.3;
  other.specimen.layers[0].tissue.tortuosity = 0.9;
  CHECK(depth_of(c) == depth_of(other));
  c.physics.vapour = other.physics.vapour = true;
  CHECK(depth_of(c) != depth_of(other));
  other = c;
  other.specimen.layers[0].tissue.conduction_per_C = 0.005;
  CHECK(depth_of(c) == depth_of(other));
}

TEST_CASE("kept steam warms the next deeper cells to 98 C and no further, and no share of it changes nothing") {
  Case c = small_case();
  c.grading = {2e-4, 1, 2e-4};  // equal cells: the next ones have room for it
  const Grid grid = case_grid(c);
  for (const double share : {0.0, 0.6, 1.0}) {
    c.physics.steam_kept = share;
    const Domain domain(c, grid);
    Fields fields;
    fields.temperature.assign(grid.cells(), 60);
    fields.water.assign(grid.cells(), 0.8);
    std::vector<double> boiled(grid.cells(), 0.0), beside(grid.cells(), 0.0);
    const std::size_t from = grid.index(2, 0), below = grid.index(2, 1);
    fields.temperature[from] = fields.temperature[below] = 100;  // it boils itself: passed over
    boiled[from] = 0.3 * initial_water(domain.tissue(from)) * domain.volume[from];
    beside[from] = 1e3 * boiled[from];
    const Stored before{stored_heat(domain, fields), stored_water(domain, fields)};
    const Fields untouched = fields;
    const KeptSteam kept = keep_steam(domain, boiled, beside, fields);
    CAPTURE(share);
    CHECK(kept.mass == Approx(share * boiled[from]).epsilon(1e-12));
    CHECK(kept.latent == Approx(kept.mass * domain.tissue(from).latent).epsilon(1e-12));
    CHECK(stored_water(domain, fields) - before.water == Approx(kept.mass).epsilon(1e-6).margin(1e-18));
    CHECK(stored_heat(domain, fields) - before.heat == Approx(kept.latent + kept.sensible).epsilon(1e-6).margin(1e-9));
    CHECK(fields.temperature[below] == 100);
    if (share == 0) CHECK(fields.temperature == untouched.temperature);
    if (share > 0) CHECK(fields.temperature[grid.index(2, 2)] == Approx(98).epsilon(1e-12));
    for (std::size_t k = 0; k < grid.cells(); ++k) {
      if (k % static_cast<std::size_t>(grid.columns()) != 2) REQUIRE(fields.temperature[k] == untouched.temperature[k]);
    }
  }
}
