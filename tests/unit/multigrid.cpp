// The multigrid cycle: symmetry and definiteness, which conjugate gradients need (J. Xu, SIAM Rev. 34 (1992) 581, from
// memory), and a rate of convergence that does not depend on grid or coefficient (our own requirement).
#include "numerics/multigrid.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "sample_systems.hpp"

using namespace dryfront;

namespace {

struct Size {
  int columns, rows;
  double growth;
};

constexpr Size small_sizes[] = {{1, 1, 1},    {1, 40, 1.2}, {2, 1, 1},     {2, 33, 1.1}, {3, 1, 1},     {3, 50, 1.3},
                                {4, 20, 1.1}, {5, 21, 1.0}, {17, 16, 1.2}, {32, 1, 1.1}, {33, 30, 1.15}};

// Greatest factor by which one cycle leaves an error in the energy norm: power iteration of I - M A.
double convergence_factor(const FluxOperator& op, Multigrid& multigrid, int cycles, std::uint64_t seed) {
  Draws draws(seed);
  auto error = draws.field(op.shunt.size(), -1, 1);
  std::vector<double> residual(error.size()), correction(error.size());
  double factor = 0, before = 0;
  for (int k = 0; k <= cycles; ++k) {
    apply(op, error, residual);
    const double energy = std::sqrt(inner_product(error, residual));
    if (energy == 0) return 0;
    if (k > 0) factor = energy / before;
    for (std::size_t c = 0; c < error.size(); ++c) {
      error[c] /= energy;
      residual[c] /= energy;
    }
    before = 1;
    multigrid.cycle(residual, correction);
    for (std::size_t c = 0; c < error.size(); ++c) error[c] -= correction[c];
  }
  return factor;
}

}  // namespace

TEST_CASE("the cycle is symmetric and positive definite") {
  for (const Size& size : small_sizes) {
    for (const Coefficient kind : every_kind) {
      const Grid grid = sample_grid(size.columns, size.rows, size.growth);
      const SampleSystem system = sample_system(grid, kind, 0, 11);
      CAPTURE(system.name);
      Multigrid multigrid(grid.columns(), grid.rows());
      multigrid.build(system.op);
      Draws draws(12);
      for (int trial = 0; trial < 3; ++trial) {
        const auto x = draws.field(grid.cells(), -1, 1), y = draws.field(grid.cells(), -1, 1);
        std::vector<double> mx(grid.cells()), my(grid.cells());
        multigrid.cycle(x, mx);
        multigrid.cycle(y, my);
        const double xx = inner_product(x, mx), yy = inner_product(y, my);
        CHECK(xx > 0);
        CHECK(std::abs(inner_product(y, mx) - inner_product(x, my)) <= 1e-11 * std::sqrt(xx * yy));
      }
    }
  }
}

TEST_CASE("the cycle is linear and forgets what it was given before") {
  const Grid grid = sample_grid(13, 12, 1.1);
  const SampleSystem system = sample_system(grid, Coefficient::jumps, 0, 5);
  Multigrid multigrid(grid.columns(), grid.rows());
  multigrid.build(system.op);
  Draws draws(6);
  const auto x = draws.field(grid.cells(), -1, 1);
  std::vector<double> twice_x = x, first(grid.cells()), second(grid.cells());
  for (double& value : twice_x) value *= 2;
  multigrid.cycle(x, first);
  multigrid.cycle(twice_x, second);
  for (std::size_t c = 0; c < grid.cells(); ++c) REQUIRE(second[c] == 2 * first[c]);
  multigrid.build(sample_system(grid, Coefficient::even, 1, 7).op);
  multigrid.cycle(x, second);
  multigrid.build(system.op);
  multigrid.cycle(x, second);
  CHECK(first == second);
}

TEST_CASE("one column is solved exactly") {
  for (const Coefficient kind : every_kind) {
    const Grid grid = sample_grid(1, 30, 1.2);
    const SampleSystem system = sample_system(grid, kind, 0, 21);
    CAPTURE(system.name);
    Multigrid multigrid(1, 30);
    multigrid.build(system.op);
    std::vector<double> x(grid.cells()), image(grid.cells());
    multigrid.cycle(system.right_side, x);
    apply(system.op, x, image);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      REQUIRE(std::abs(image[c] - system.right_side[c]) <= 1e-12 * system.right_side[0]);
    }
  }
}

TEST_CASE("a cycle takes most of an error away, and never enlarges one") {
  for (const Size& size : small_sizes) {
    for (const Coefficient kind : every_kind) {
      for (const double storage : {0.0, 1e8}) {
        const Grid grid = sample_grid(size.columns, size.rows, size.growth);
        const SampleSystem system = sample_system(grid, kind, storage, 31);
        Multigrid multigrid(grid.columns(), grid.rows());
        multigrid.build(system.op);
        const double factor = convergence_factor(system.op, multigrid, 12, 32);
        CAPTURE(system.name, factor);
        CHECK(factor < (kind == Coefficient::jumps || kind == Coefficient::inclusions ? 1.0 : 0.5));
      }
    }
  }
}

TEST_CASE("two columns lose an error at once") {
  for (const Coefficient kind : every_kind) {
    const Grid grid = sample_grid(2, 30, 1.2);
    const SampleSystem system = sample_system(grid, kind, 0, 21);
    CAPTURE(system.name);
    Multigrid multigrid(2, 30);
    multigrid.build(system.op);
    CHECK(convergence_factor(system.op, multigrid, 4, 22) < 0.2);
  }
}
