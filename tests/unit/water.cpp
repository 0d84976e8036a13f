// Moisture: conservation of water and of the enthalpy it carries, bounds of a diffusion process (maximum principle),
// and the decay of a cosine, exp(-D (pi/L)^2 t) (elementary).
#include "physics/water.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "random_fields.hpp"

using namespace dryfront;

namespace {

std::vector<double> even_faces(int cells, double length) {
  std::vector<double> face;
  for (int k = 0; k <= cells; ++k) face.push_back(length * k / cells);
  return face;
}

Grid graded() {
  const std::vector<double> marks{0.0};
  const auto faces = graded_faces(0, 0.01, {}, marks, {1e-4, 1.15, 1e-3});
  return Grid(faces, faces);
}

// Two tissues that differ in everything that matters here; the upper in the first `upper` rows.
TissueRows two_tissues(const Grid& grid, int upper) {
  TissueRows rows;
  rows.tissue.resize(2);
  rows.tissue[0].moisture = 1e-8;
  rows.tissue[0].water_fraction = 0.7;
  rows.tissue[0].dry_heat_ratio = 0.3;
  rows.tissue[1].moisture = 1e-7;
  rows.tissue[1].water_fraction = 0.5;
  rows.tissue[1].density = 1200;
  rows.tissue[1].dry_heat_ratio = 0.5;
  for (int j = 0; j < grid.rows(); ++j) rows.of_row.push_back(j < upper ? 0 : 1);
  return rows;
}

struct Flow {
  TissueRows rows;
  ContactGeometry contact;
  Moisture moisture;
  std::vector<double> inflow, enthalpy;

  Flow(const Grid& grid, const TissueRows& tissues, const Electrode& electrode)
      : rows(tissues),
        contact(contact_geometry(grid, electrode)),
        moisture(grid, rows, contact, std::vector<double>(rows.tissue.size(), 1.0), 0, Moisture::FlowTime::middle),
        inflow(grid.cells()),
        enthalpy(grid.cells()) {}
  Flow(const Flow&) = delete;
  Flow& operator=(const Flow&) = delete;

  bool run(double dt, const std::vector<double>& water, const std::vector<double>& temperature,
           std::vector<double> boil_rate = {}) {
    if (boil_rate.empty()) boil_rate.assign(water.size(), 0.0);
    return moisture.flow(dt, water, boil_rate, temperature, nullptr, inflow, enthalpy).converged;
  }
};

Electrode small_disc(const Grid& grid) {
  Electrode electrode;
  electrode.radius = grid.r_face()[2];
  return electrode;
}

}  // namespace

TEST_CASE("moisture conserves water and enthalpy to round-off") {
  Draws draws(23);
  const Grid grid = graded();
  const TissueRows rows = two_tissues(grid, grid.rows() / 2);
  Flow flow(grid, rows, small_disc(grid));
  for (const double dt : {1e-3, 0.1, 10.0}) {
    auto water = draws.field(grid.cells(), 0, 1), temperature = draws.field(grid.cells(), 20, 250);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      if (draws.uniform() < 0.3) water[c] = 0;
    }
    const auto boil_rate = draws.field(grid.cells(), 0, 0.1);
    REQUIRE(flow.run(dt, water, temperature, boil_rate));
    double mass = 0, moved = 0, heat = 0, carried = 0;
    for (int j = 0; j < grid.rows(); ++j) {
      const double density = initial_water(rows.at(static_cast<std::size_t>(j)));
      for (int i = 0; i < grid.columns(); ++i) {
        const std::size_t c = grid.index(i, j);
        mass += density * grid.volume(i, j) * flow.inflow[c];
        moved += density * grid.volume(i, j) * std::abs(flow.inflow[c]);
        heat += flow.enthalpy[c];
        carried += std::abs(flow.enthalpy[c]);
      }
    }
    CAPTURE(dt);
    REQUIRE(moved > 0);
    REQUIRE(carried > 0);
    CHECK(std::abs(mass) <= 1e-13 * moved);
    CHECK(std::abs(heat) <= 1e-13 * carried);
  }
}

TEST_CASE("water stays between none and all, for any step") {
  Draws draws(29);
  const Grid grid = graded();
  Flow flow(grid, two_tissues(grid, grid.rows() / 2), small_disc(grid));
  const std::vector<double> cool(grid.cells(), 60.0);
  for (const double dt : {1e-3, 0.03, 1.0, 100.0}) {
    for (int kind = 0; kind < 4; ++kind) {
      std::vector<double> water(grid.cells(), 1.0);
      for (int j = 0; j < grid.rows(); ++j) {
        for (int i = 0; i < grid.columns(); ++i) {
          double& s = water[grid.index(i, j)];
          const bool inside = i < 5 && j < 5;
          if (kind == 0) s = draws.uniform() < 0.5 ? 0.0 : 1.0;
          if (kind == 1) s = inside ? 0.0 : 1.0;  // a dry body
          if (kind == 2) s = inside ? 1.0 : 0.0;  // a wet one
          if (kind == 3) s = i == 3 && j == 3 ? 0.0 : 1.0;
        }
      }
      REQUIRE(flow.run(dt, water, cool));
      double least = 1, most = 0;
      for (std::size_t c = 0; c < grid.cells(); ++c) {
        least = std::min(least, water[c] + flow.inflow[c]);
        most = std::max(most, water[c] + flow.inflow[c]);
      }
      CAPTURE(dt, kind);
      CHECK(least >= -1e-6);
      CHECK(most <= 1 + 1e-6);
    }
  }
}

TEST_CASE("water stays between none and all while it boils off as it did in the last step") {
  Draws draws(37);
  const Grid grid = graded();
  Flow flow(grid, two_tissues(grid, grid.rows() / 2), small_disc(grid));
  const std::vector<double> cool(grid.cells(), 60.0);
  for (const double dt : {1e-3, 0.03, 1.0, 100.0}) {
    const auto water = draws.field(grid.cells(), 0, 1);
    std::vector<double> boil_rate(grid.cells());
    for (double& rate : boil_rate) rate = draws.uniform() < 0.3 ? draws.spread(1e-3, 2) / dt : 0.0;
    REQUIRE(flow.run(dt, water, cool, boil_rate));
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      CAPTURE(dt, c, water[c], flow.inflow[c], boil_rate[c]);
      REQUIRE(water[c] + flow.inflow[c] >= -1e-6);
      REQUIRE(water[c] + flow.inflow[c] - dt * boil_rate[c] <= 1 + 2e-6);
    }
  }
}

TEST_CASE("a dry cell above boiling takes water up and gives none back") {
  const Grid grid(even_faces(5, 5e-4), even_faces(5, 5e-4));
  const TissueRows rows = two_tissues(grid, 5);
  Electrode electrode;
  electrode.radius = 1e-4;
  Flow flow(grid, rows, electrode);
  std::vector<double> water(grid.cells(), 1.0), temperature(grid.cells(), 90.0);
  const std::size_t hot = grid.index(2, 2);
  water[hot] = 0;
  temperature[hot] = 150;
  REQUIRE(flow.run(0.5, water, temperature));
  const double taken = flow.inflow[hot];
  CHECK(taken > 0);
  for (const std::size_t neighbour : {hot - 1, hot + 1, hot - 5, hot + 5}) CHECK(flow.inflow[neighbour] < 0);
  // What arrives comes from neighbours at 90 C: 10 K below boiling.
  const double capacity = heat_capacity(rows.tissue[0], 1) * (1 - 0.3) * grid.volume(2, 2);
  CHECK(flow.enthalpy[hot] == Approx(-10 * capacity * taken).epsilon(1e-12));

  temperature[hot] = 99;  // below boiling it fills up, and then less and less comes
  REQUIRE(flow.run(0.5, water, temperature));
  CHECK(flow.inflow[hot] > 0);
  CHECK(flow.inflow[hot] < taken);
}

TEST_CASE("water that takes the place of what boils off does not fill a cell above one") {
  // Were it counted as overfull, the flow of the whole field would fall back to first order in time.
  const Grid grid({0, 1e-3}, even_faces(40, 2e-3));
  Electrode electrode;
  electrode.radius = 1e-3;
  Flow flow(grid, two_tissues(grid, 40), electrode);
  const double dt = 0.5;
  std::vector<double> water(grid.cells(), 1.0), temperature(grid.cells(), 90.0), boil_rate(grid.cells(), 0.0);
  boil_rate[0] = 0.02;
  water[1] = 0.9999999;  // not all alike, so that there is a flow to find
  REQUIRE(flow.run(dt, water, temperature, boil_rate));
  CHECK(flow.inflow[0] > 1e-4);  // drawn in by the boil-off of this step, which an implicit Euler step does not see
  CHECK(water[0] + flow.inflow[0] - dt * boil_rate[0] < 1);
}

TEST_CASE("a cosine of water decays at its rate") {
  const double length = 2e-3, diffusivity = 1e-8, time = 20;
  const Grid grid({0, 1e-3}, even_faces(80, length));
  TissueRows rows = two_tissues(grid, 80);
  Electrode electrode;
  electrode.radius = 1e-3;
  Flow flow(grid, rows, electrode);
  std::vector<double> water(grid.cells());
  const std::vector<double> cool(grid.cells(), 30.0);
  const auto cosine = [&](int j) {
    return std::cos(std::numbers::pi * grid.z()[static_cast<std::size_t>(j)] / length);
  };
  for (int j = 0; j < 80; ++j) water[static_cast<std::size_t>(j)] = 0.5 + 0.4 * cosine(j);
  for (int k = 0; k < 40; ++k) {
    REQUIRE(flow.run(time / 40, water, cool));
    for (std::size_t c = 0; c < grid.cells(); ++c) water[c] += flow.inflow[c];
  }
  const double left = std::exp(-diffusivity * std::pow(std::numbers::pi / length, 2) * time);
  for (int j = 0; j < 80; ++j)
    CHECK(water[static_cast<std::size_t>(j)] == Approx(0.5 + 0.4 * left * cosine(j)).margin(2e-4));
}

TEST_CASE("nothing moves where nothing differs, and nothing enters metal") {
  const Grid grid = graded();
  Electrode rod;
  rod.shape = ElectrodeShape::rod;
  rod.radius = grid.r_face()[2];
  rod.length = grid.z_face()[4];
  Flow flow(grid, two_tissues(grid, grid.rows()), rod);
  std::vector<double> water(grid.cells(), 0.6), temperature(grid.cells(), 60.0);
  REQUIRE(flow.run(1, water, temperature));
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    REQUIRE(flow.inflow[c] == 0);
    REQUIRE(flow.enthalpy[c] == 0);
  }
  Draws draws(31);
  water = draws.field(grid.cells(), 0, 1);
  REQUIRE(flow.run(1, water, temperature));
  for (const std::size_t cell : flow.contact.metal) REQUIRE(flow.inflow[cell] == 0);
  CHECK(flow.inflow[grid.index(5, 5)] != 0);
}

TEST_CASE("a dry cell at boiling takes no more than its water in a step, and what it refuses stays with the givers") {
  // A thin dry cell between wide wet ones: held at no water for the whole step, it would take several times its own.
  const Grid grid({0, 1e-3}, {0, 4e-4, 4.2e-4, 8e-4, 1.2e-3});
  Electrode electrode;
  electrode.radius = 1e-3;
  Flow flow(grid, two_tissues(grid, 4), electrode);
  std::vector<double> water{1.0, 0.0, 1.0, 1.0}, temperature{90, 100, 90, 90};
  for (const double dt : {0.01, 0.3, 1.0, 10.0}) {
    CAPTURE(dt);
    REQUIRE(flow.run(dt, water, temperature));
    double mass = 0, heat = 0;
    for (std::size_t c = 0; c < water.size(); ++c) {
      CAPTURE(c, flow.inflow[c]);
      CHECK(water[c] + flow.inflow[c] >= 0);
      CHECK(water[c] + flow.inflow[c] <= 1 + 2e-6);
      mass += grid.volume(0, static_cast<int>(c)) * flow.inflow[c];
      heat += flow.enthalpy[c];
    }
    CHECK(flow.inflow[1] > 0);
    CHECK(std::abs(mass) <= 1e-14 * grid.volume(0, 1));
    CHECK(std::abs(heat) <= 1e-13 * std::abs(flow.enthalpy[1]));
  }
}
