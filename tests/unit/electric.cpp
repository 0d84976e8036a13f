// Conduction of charge in one solve. Exact: disc on a half-space 1/(4 sigma a) (Weber 1873), hemisphere 1/(2 pi sigma
// a), disc with a contact conductance (Newman 1966), two layers (Tagg 1964), all from exact_values.json where their
// sources stand in full; layers in series (Ohm); the circuit relations of the sources.
#include "physics/electric.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "electric_problem.hpp"
#include "exact_values.hpp"

using namespace dryfront;

namespace {

constexpr double pi = std::numbers::pi;

// Default grading round an electrode of radius a in a specimen of 40 mm, half-space beyond.
double resistance(const Electrode& electrode, double conductivity, const Grading& grading = {}) {
  ElectricProblem problem(electrode, grading, 0.04, FarVoltage::half_space);
  problem.conductivity.assign(problem.grid.cells(), conductivity);
  return problem.solved().resistance;
}

Electrode disc(double radius) {
  Electrode electrode;
  electrode.radius = radius;
  electrode.contact = ContactKind::perfect;
  return electrode;
}

}  // namespace

TEST_CASE("a disc on a half-space: 1/(4 sigma a) on the default grid") {
  CHECK(resistance(disc(6e-3), 0.5) == Approx(1 / (4 * 0.5 * 6e-3)).epsilon(0.005));
  // With the exact flux at the rim what is left is the growth of the cells: measured 1.27e-3, 1.03e-3 and 7.9e-4.
  for (const double a : {1.5e-3, 3e-3, 6e-3}) {
    const double error = std::abs(resistance(disc(a), 0.5) * 4 * 0.5 * a - 1);
    CAPTURE(a, error);
    CHECK(error < 1.4e-3 * std::cbrt(1.5e-3 / a));
  }
}

TEST_CASE("the potential under a disc is Weber's") {
  const auto exact = exact_values("E1");
  const double a = exact["parameters"]["a"], sigma = exact["parameters"]["sigma"];
  ElectricProblem problem(disc(a), {1e-5, 1.05, 1e-3}, 0.04, FarVoltage::half_space);
  problem.conductivity.assign(problem.grid.cells(), sigma);
  problem.source.rms = exact["parameters"]["V0"];
  const ElectricState result = problem.solved();
  CHECK(result.current == Approx(exact["values"]["I_A"].get<double>()).epsilon(0.005));
  CHECK(result.power == Approx(exact["values"]["P_W"].get<double>()).epsilon(0.005));
  for (const auto& point : exact["parameters"]["pts"]) {
    const double r = point[0], z = point[1];
    if (z == 0) continue;  // no cell centre lies on the surface
    const double root = std::sqrt((r - a) * (r - a) + z * z) + std::sqrt((r + a) * (r + a) + z * z);
    const double weber = problem.source.rms * 2 / pi * std::asin(2 * a / root);
    CAPTURE(r, z);
    CHECK(problem.at(result.potential, r, z) == Approx(weber).epsilon(0.005));
  }
}

TEST_CASE("a disc with a contact conductance: Newman's table") {
  const auto exact = exact_values("E6");
  const double a = exact["parameters"]["a"], sigma = exact["parameters"]["sigma"];
  for (const auto& [biot, row] : exact["values"]["table"].items()) {
    Electrode electrode = disc(a);
    electrode.contact = ContactKind::conductance;
    ElectricProblem problem(electrode, {2e-5, 1.06, 1e-3}, 0.04, FarVoltage::half_space);
    problem.conductivity.assign(problem.grid.cells(), sigma);
    problem.laws.assign(problem.contact.faces.size(), {row["g_S_per_m2"].get<double>(), 0.0, 1.0});
    CAPTURE(biot);
    CHECK(problem.solved().resistance == Approx(row["R_ohm"].get<double>()).epsilon(0.005));
  }
}

TEST_CASE("a disc on two layers: Tagg's kernel") {
  const auto exact = exact_values("E5");
  const double a = exact["parameters"]["a"], depth = exact["parameters"]["d"];
  Case c;
  c.specimen.layers.resize(2);
  c.specimen.layers[0].thickness = depth;
  c.electrode = disc(a);
  c.grading = {2e-5, 1.06, 1e-3};
  ElectricProblem problem(c);
  const Grid& grid = problem.grid;
  problem.conductivity.resize(grid.cells());
  for (int j = 0; j < grid.rows(); ++j) {
    const bool upper = grid.z()[static_cast<std::size_t>(j)] < depth;
    for (int i = 0; i < grid.columns(); ++i) {
      problem.conductivity[grid.index(i, j)] = exact["parameters"][upper ? "sigma1" : "sigma2"];
    }
  }
  // The outer boundary condition takes the far field for that of an even half-space, which it is: all of layer two.
  CHECK(problem.solved().resistance == Approx(exact["values"]["R_ohm"].get<double>()).epsilon(0.01));
}

TEST_CASE("a hemisphere and a rod: stepped solids within 3 %") {
  Electrode dome = disc(2e-3);
  dome.shape = ElectrodeShape::dome;
  dome.press = dome.radius;  // a half-sphere
  CHECK(resistance(dome, 0.5) == Approx(1 / (2 * pi * 0.5 * 2e-3)).epsilon(0.03));

  const auto exact = exact_values("E3b");
  Electrode rod = disc(exact["parameters"]["a"]);
  rod.shape = ElectrodeShape::rod;
  rod.length = exact["parameters"]["L"];
  CHECK(resistance(rod, exact["parameters"]["sigma"]) ==
        Approx(exact["values"]["R_flat_ended_rod_BEM_ohm"].get<double>()).epsilon(0.03));
}

TEST_CASE("a ring whose hole closes is a disc, and a hole makes it resist more") {
  Electrode ring = disc(3e-3);
  ring.shape = ElectrodeShape::ring;
  ring.inner_radius = 1e-4;
  const double whole = resistance(disc(3e-3), 0.5);
  CHECK(resistance(ring, 0.5) == Approx(whole).epsilon(0.002));
  ring.inner_radius = 2.5e-3;
  const double hollow = resistance(ring, 0.5);
  CHECK(hollow > whole);
  CHECK(hollow < 1.2 * whole);  // the current crowds at the outer edge anyway
}

TEST_CASE("a column of layers under a contact is a series of resistors") {
  const double area = pi * 1e-6;
  for (const bool perfect : {true, false}) {
    ColumnProblem column(4, 1e-3, 0.02);
    column.conductivity = {0.5, 0.5, 0.02, 3.0};
    column.contact = perfect ? std::vector<ContactLaw>{} : std::vector<ContactLaw>{{40, 0, 1}};
    const ElectricState result = column.solved();
    const double layers = (0.01 / 0.5 + 0.005 / 0.02 + 0.005 / 3.0) / area;
    const double exact = layers + (perfect ? 0.0 : 1 / (40 * area));
    CHECK(result.resistance == Approx(exact).epsilon(1e-12));
    CHECK(result.converged);
    CHECK(result.solves == 1);
    CHECK(result.volume_power == Approx(result.current * result.current * layers).epsilon(1e-11));
    CHECK(result.surface_power == Approx(perfect ? 0.0 : result.current * result.current / (40 * area)).epsilon(1e-11));
    CHECK(result.beyond_power == Approx(0).margin(1e-14 * result.power));
    CHECK(result.arcing_share == 0);
  }
}

TEST_CASE("the source meets its load") {
  ColumnProblem column(3, 1e-3, 0.02);
  column.conductivity = {0.5, 0.4, 0.3};
  column.contact = {{40, 0, 1}};
  const double load = column.solved().resistance;

  column.source.kind = SourceKind::voltage;
  column.source.rms = 100;
  ElectricState result = column.solved();
  CHECK(result.rms == 100);
  CHECK(result.current == Approx(100 / load).epsilon(1e-12));
  CHECK(result.potential[0] < 100);

  column.source.kind = SourceKind::constant_power;
  column.source.setting = 25;
  result = column.solved();
  CHECK(result.power == Approx(25).epsilon(1e-12));
  CHECK(result.rms == Approx(std::sqrt(25 * load)).epsilon(1e-12));

  column.source.kind = SourceKind::unregulated;
  column.source.setting = 60;
  column.source.rated_load = 500;
  result = column.solved();
  // twice the open-circuit divider: 2 sqrt(P R_m) behind R_m
  const double current = 2 * std::sqrt(60 * 500.0) / (500 + load);
  CHECK(result.current == Approx(current).epsilon(1e-12));
  CHECK(result.power == Approx(current * current * load).epsilon(1e-12));

  column.source.peak_limit = 90;
  column.crest_factor = 6;
  CHECK(column.solved().rms == Approx(15).epsilon(1e-12));
}

TEST_CASE("power in is power dissipated, for every outer boundary") {
  for (const FarVoltage far : {FarVoltage::half_space, FarVoltage::grounded, FarVoltage::pad}) {
    Case c;
    c.specimen.layers.resize(1);
    c.specimen.radius = c.specimen.depth = 0.02;
    c.specimen.side_voltage = far == FarVoltage::pad ? FarVoltage::insulated : far;
    c.specimen.bottom_voltage = far;
    c.specimen.pad_radius = 0.015;
    c.specimen.pad_inner_radius = 0.004;
    c.electrode = disc(3e-3);
    c.grading = {1e-4, 1.2, 2e-3};
    ElectricProblem problem(c);
    Draws draws(3);
    problem.conductivity.resize(problem.grid.cells());
    for (double& sigma : problem.conductivity) sigma = draws.spread(1e-3, 1);
    const ElectricState result = problem.solved();
    CHECK(result.converged);
    CHECK(result.rms * result.inflow ==
          Approx(result.volume_power + result.surface_power + result.beyond_power).epsilon(1e-9));
    CHECK((far == FarVoltage::half_space) == (result.beyond_power > 1e-6 * result.power));
  }
}

TEST_CASE("a pad is grounded within its radii only") {
  const Grid grid({0, 1, 2, 3, 4}, {0, 1, 2});
  const FarVoltageCells far = far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::grounded, 1, 3);
  CHECK(far.cell == std::vector<std::size_t>{grid.index(1, 1), grid.index(2, 1)});
  CHECK(far.to_zero == far.half_cell);
  CHECK(far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::insulated, 0, 9).cell.empty());
  const FarVoltageCells open = far_voltage(grid, FarVoltageKind::half_space, FarVoltageKind::half_space, 0, 9);
  CHECK(open.cell.size() == 6);
  for (std::size_t k = 0; k < open.cell.size(); ++k) CHECK(open.to_zero[k] < open.half_cell[k]);
}

TEST_CASE("cells inside the metal carry nothing and heat nothing") {
  Electrode rod = disc(1e-3);
  rod.shape = ElectrodeShape::rod;
  rod.length = 4e-3;
  ElectricProblem problem(rod, {1e-4, 1.2, 2e-3}, 0.02, FarVoltage::half_space);
  problem.conductivity.assign(problem.grid.cells(), 0.5);
  const ElectricState result = problem.solved();
  REQUIRE_FALSE(problem.contact.metal.empty());
  for (const std::size_t cell : problem.contact.metal) {
    REQUIRE(result.heating[cell] == 0);
    REQUIRE(std::isfinite(result.potential[cell]));
  }
  CHECK(result.rms * result.inflow == Approx(result.volume_power + result.beyond_power).epsilon(1e-9));
}

TEST_CASE("a conductivity that is no number is not solved in silence") {
  ColumnProblem column(4, 1e-3, 0.02);
  column.conductivity = {0.5, std::numeric_limits<double>::quiet_NaN(), 0.5, 0.5};
  CHECK_FALSE(column.solved().converged);
}
