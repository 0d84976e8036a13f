// The flux operator. Exact: Ohm's law for layers in series, and identities of the discrete operator (symmetry, and the
// dissipation that adds up to x . outflow), both elementary.
#include "numerics/flux.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "random_fields.hpp"

using namespace dryfront;

namespace {

Grid graded(double radius, double depth) {
  const std::vector<double> r_marks{0.3 * radius}, z_marks{0.0};
  const Grading grading{0.01 * radius, 1.2, 0.1 * radius};
  return Grid(graded_faces(0, radius, r_marks, r_marks, grading), graded_faces(0, depth, {}, z_marks, grading));
}

std::vector<double> jumping(const Grid& grid, Draws& draws) {
  std::vector<double> coefficient(grid.cells());
  for (double& value : coefficient) value = draws.spread(1e-4, 1);
  return coefficient;
}

}  // namespace

TEST_CASE("the flux operator is symmetric and not negative") {
  Draws draws(1);
  for (const Grid& grid :
       {graded(0.01, 0.02), Grid({0, 1}, {0, 1, 3}), Grid({0, 1, 5}, {0, 1}), Grid({0, 1}, {0, 1})}) {
    FluxOperator op(grid);
    set_conductances(grid, jumping(grid, draws), op);
    for (double& shunt : op.shunt) shunt = draws.uniform();
    const auto x = draws.field(grid.cells(), -1, 1), y = draws.field(grid.cells(), -1, 1);
    std::vector<double> ax(grid.cells()), ay(grid.cells());
    apply(op, x, ax);
    apply(op, y, ay);
    const double scale = std::sqrt(inner_product(x, ax) * inner_product(y, ay));
    CHECK(std::abs(inner_product(y, ax) - inner_product(x, ay)) <= 1e-13 * scale);
    CHECK(inner_product(x, ax) > 0);
  }
}

TEST_CASE("what flows between cells adds up to nothing, and an even field does not flow") {
  Draws draws(2);
  const Grid grid = graded(0.01, 0.01);
  FluxOperator op(grid);
  set_conductances(grid, jumping(grid, draws), op);
  const auto x = draws.field(grid.cells(), 0, 100);
  std::vector<double> outflow(grid.cells());
  apply(op, x, outflow);
  double sum = 0, magnitude = 0;
  for (const double value : outflow) {
    sum += value;
    magnitude += std::abs(value);
  }
  CHECK(std::abs(sum) <= 1e-14 * magnitude);
  apply(op, std::vector<double>(grid.cells(), 37.0), outflow);
  for (const double value : outflow) REQUIRE(value == 0);
}

TEST_CASE("layers with interfaces on faces conduct exactly as resistors in series") {
  const std::vector<double> stops{1e-3, 2.5e-3}, marks{0.0};
  const Grid grid({0, 1e-3, 3e-3}, graded_faces(0, 6e-3, stops, marks, {1e-4, 1.3, 1e-3}));
  const auto kappa_at = [](double z) { return z < 1e-3 ? 0.5 : z < 2.5e-3 ? 0.02 : 3.0; };
  std::vector<double> kappa(grid.cells()), potential(grid.cells());
  // unit current density downwards: dV/dz = -1/kappa
  const auto exact = [](double z) {
    const double in_first = std::min(z, 1e-3), in_second = std::clamp(z - 1e-3, 0.0, 1.5e-3),
                 in_third = std::max(0.0, z - 2.5e-3);
    return 10 - in_first / 0.5 - in_second / 0.02 - in_third / 3.0;
  };
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      kappa[grid.index(i, j)] = kappa_at(grid.z()[static_cast<std::size_t>(j)]);
      potential[grid.index(i, j)] = exact(grid.z()[static_cast<std::size_t>(j)]);
    }
  }
  FluxOperator op(grid);
  set_conductances(grid, kappa, op);
  std::vector<double> outflow(grid.cells());
  apply(op, potential, outflow);
  for (int i = 0; i < grid.columns(); ++i) {
    const double area = grid.axial_area(i);
    CHECK(outflow[grid.index(i, 0)] == Approx(area).epsilon(1e-10));
    CHECK(outflow[grid.index(i, grid.rows() - 1)] == Approx(-area).epsilon(1e-10));
    for (int j = 1; j + 1 < grid.rows(); ++j) REQUIRE(std::abs(outflow[grid.index(i, j)]) <= 1e-10 * area);
  }
}

TEST_CASE("a face's conductance is that of its two half cells in series") {
  Draws draws(3);
  const Grid grid = graded(0.02, 0.01);
  const auto kappa = jumping(grid, draws);
  FluxOperator op(grid);
  set_conductances(grid, kappa, op);
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (int j = 0; j + 1 < grid.rows(); ++j) {
    for (int i = 0; i + 1 < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      const double left = radial_half_conductance(grid, kappa[c], i + 1, i, j);
      const double right = radial_half_conductance(grid, kappa[c + 1], i + 1, i + 1, j);
      REQUIRE(op.east[c] == Approx(1 / (1 / left + 1 / right)).epsilon(1e-13));
      const double upper = axial_half_conductance(grid, kappa[c], i, j);
      const double lower = axial_half_conductance(grid, kappa[c + columns], i, j + 1);
      REQUIRE(op.south[c] == Approx(1 / (1 / upper + 1 / lower)).epsilon(1e-13));
    }
  }
  for (int j = 0; j < grid.rows(); ++j) CHECK(op.east[grid.index(grid.columns() - 1, j)] == 0);
  for (int i = 0; i < grid.columns(); ++i) CHECK(op.south[grid.index(i, grid.rows() - 1)] == 0);
}

TEST_CASE("a coefficient of zero closes its faces") {
  const Grid grid({0, 1, 2, 3}, {0, 1, 2});
  std::vector<double> kappa(grid.cells(), 1.0);
  kappa[grid.index(1, 0)] = 0;
  FluxOperator op(grid);
  set_conductances(grid, kappa, op);
  CHECK(op.east[grid.index(0, 0)] == 0);
  CHECK(op.east[grid.index(1, 0)] == 0);
  CHECK(op.south[grid.index(1, 0)] == 0);
  CHECK(op.south[grid.index(0, 0)] > 0);
  std::fill(kappa.begin(), kappa.end(), 0.0);
  set_conductances(grid, kappa, op);
  for (const double g : op.east) CHECK(g == 0);  // 0/0 would be no number
  for (const double g : op.south) CHECK(g == 0);
}

TEST_CASE("dissipation and the shunts' losses add up to x . outflow") {
  Draws draws(4);
  for (const Grid& grid : {graded(0.01, 0.02), Grid({0, 1}, {0, 1, 3}), Grid({0, 1, 5}, {0, 1})}) {
    const auto kappa = jumping(grid, draws);
    FluxOperator op(grid);
    set_conductances(grid, kappa, op);
    for (double& shunt : op.shunt) shunt = 1e-3 * draws.uniform();
    const auto x = draws.field(grid.cells(), -10, 10);
    std::vector<double> outflow(grid.cells()), dissipation(grid.cells(), 0.0);
    apply(op, x, outflow);
    add_dissipation(grid, op, kappa, x, dissipation);
    double sum = 0;
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      REQUIRE(dissipation[c] >= 0);
      sum += dissipation[c] + op.shunt[c] * x[c] * x[c];
    }
    CHECK(sum == Approx(inner_product(x, outflow)).epsilon(1e-13));
  }
}

TEST_CASE("an even field heats every inner cell with kappa E^2, and dissipation is added to what is there") {
  const Grid grid({0, 1, 3}, {0, 1, 3, 4, 9});
  const std::vector<double> kappa(grid.cells(), 2.0);
  FluxOperator op(grid);
  set_conductances(grid, kappa, op);
  std::vector<double> x(grid.cells()), dissipation(grid.cells(), 100.0);
  for (int j = 0; j < 4; ++j) {
    for (int i = 0; i < 2; ++i) x[grid.index(i, j)] = -5 * grid.z()[static_cast<std::size_t>(j)];
  }
  add_dissipation(grid, op, kappa, x, dissipation);
  for (int i = 0; i < 2; ++i) {
    for (int j = 0; j < 4; ++j) {
      const double share = j == 0 || j == 3 ? 0.5 : 1.0;  // an end cell is crossed only from its centre inwards
      CHECK(dissipation[grid.index(i, j)] == Approx(100 + share * 2 * 25 * grid.volume(i, j)).epsilon(1e-13));
    }
  }
}
