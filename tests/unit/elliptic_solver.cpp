// The linear solver against a direct one: Eigen 3.4's sparse LDL^T (independent library), and its stated error.
#include "numerics/elliptic_solver.hpp"

#include <Eigen/Sparse>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <tuple>
#include <vector>

#include "sample_systems.hpp"

using namespace dryfront;

namespace {

std::vector<double> direct_solution(const SampleSystem& system) {
  const FluxOperator& op = system.op;
  const int columns = op.columns, cells = op.columns * op.rows;
  std::vector<Eigen::Triplet<double>> entries;
  const auto face = [&](int a, int b, double g) {
    entries.emplace_back(a, a, g);
    entries.emplace_back(b, b, g);
    entries.emplace_back(a, b, -g);
    entries.emplace_back(b, a, -g);
  };
  for (int c = 0; c < cells; ++c) {
    const auto k = static_cast<std::size_t>(c);
    entries.emplace_back(c, c, op.shunt[k]);
    if (c % columns + 1 < columns) face(c, c + 1, op.east[k]);
    if (c + columns < cells) face(c, c + columns, op.south[k]);
  }
  Eigen::SparseMatrix<double> matrix(cells, cells);
  matrix.setFromTriplets(entries.begin(), entries.end());
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> direct(matrix);
  REQUIRE(direct.info() == Eigen::Success);
  const Eigen::VectorXd x = direct.solve(Eigen::Map<const Eigen::VectorXd>(system.right_side.data(), cells));
  return {x.data(), x.data() + cells};
}

double energy_norm(const FluxOperator& op, const std::vector<double>& x) {
  std::vector<double> image(x.size());
  apply(op, x, image);
  return std::sqrt(inner_product(x, image));
}

SolveReport solved(const SampleSystem& system, double reduction, std::vector<double>& x) {
  EllipticSolver solver(system.op.columns, system.op.rows);
  solver.prepare(system.op);
  // The first estimate of the error at x = 0 is the scale of the reduction.
  x.assign(system.op.shunt.size(), 0.0);
  const double start = solver.solve(system.op, system.right_side, 0, 0, x).error;
  return solver.solve(system.op, system.right_side, reduction * start, 100, x);
}

}  // namespace

TEST_CASE("small systems agree with a direct solver") {
  for (const auto& [columns, rows, growth] : {std::tuple{1, 1, 1.0},
                                              {1, 30, 1.2},
                                              {2, 30, 1.2},
                                              {3, 30, 1.2},
                                              {4, 7, 1.1},
                                              {31, 1, 1.1},
                                              {40, 40, 1.1},
                                              {41, 33, 1.2}}) {
    for (const Coefficient kind : every_kind) {
      for (const double storage : {0.0, 1e6}) {
        const SampleSystem system = sample_system(sample_grid(columns, rows, growth), kind, storage, 3);
        CAPTURE(system.name);
        std::vector<double> x;
        const SolveReport report = solved(system, 1e-12, x);
        CHECK(report.converged);
        const auto exact = direct_solution(system);
        double difference = 0;
        for (std::size_t c = 0; c < x.size(); ++c) difference = std::max(difference, std::abs(x[c] - exact[c]));
        CHECK(difference <= 1e-8);  // of values between 0 and 1
      }
    }
  }
}

TEST_CASE("iterations do not grow with the grid, its grading or the jumps of the coefficient") {
  struct Size {
    int columns, rows;
    double growth;
  };
  int most = 0;
  for (const Size& size :
       {Size{32, 32, 1.15}, Size{101, 64, 1.06}, Size{160, 127, 1.04}, Size{255, 256, 1.02}, Size{450, 445, 1.012}}) {
    const Grid grid = sample_grid(size.columns, size.rows, size.growth);
    for (const Coefficient kind : tissue_like) {
      const SampleSystem system = sample_system(grid, kind, 0, 41);
      std::vector<double> x;
      const SolveReport report = solved(system, 1e-10, x);
      CAPTURE(system.name, report.iterations);
      CHECK(report.converged);
      // 18 measured for patches on 200,000 cells, 10 for all others
      CHECK(report.iterations <= (kind == Coefficient::patches ? 20 : 14));
      most = std::max(most, report.iterations);
      CHECK(*std::min_element(x.begin(), x.end()) >= -1e-8);  // the maximum principle
      CHECK(*std::max_element(x.begin(), x.end()) <= 1 + 1e-8);
    }
  }
  CHECK(most >= 3);  // a count that cannot rise would say nothing
}

TEST_CASE("coefficients that jump from cell to cell cost iterations, and still end at the solution") {
  // One cell in three 10^4 times less conducting, at random: the count grows with the grid. Limit of the
  // preconditioner.
  for (const Coefficient kind : {Coefficient::jumps, Coefficient::inclusions}) {
    const SampleSystem system = sample_system(sample_grid(101, 64, 1.06), kind, 0, 41);
    std::vector<double> x;
    const SolveReport report = solved(system, 1e-12, x);
    CAPTURE(system.name, report.iterations);
    CHECK(report.converged);
    CHECK(report.iterations <= (kind == Coefficient::jumps ? 25 : 60));
    const auto exact = direct_solution(system);
    for (std::size_t c = 0; c < x.size(); ++c) REQUIRE(std::abs(x[c] - exact[c]) <= 1e-7);
  }
}

TEST_CASE("the reported error is the true one in the energy norm") {
  const SampleSystem system = sample_system(sample_grid(61, 50, 1.08), Coefficient::jumps, 0, 51);
  const auto exact = direct_solution(system);
  EllipticSolver solver(system.op.columns, system.op.rows);
  solver.prepare(system.op);
  for (const int iterations : {0, 1, 2, 4, 6}) {
    std::vector<double> x(exact.size(), 0.0);
    const SolveReport report = solver.solve(system.op, system.right_side, 0, iterations, x);
    CHECK_FALSE(report.converged);
    CHECK(report.iterations == iterations);
    for (std::size_t c = 0; c < x.size(); ++c) x[c] -= exact[c];
    const double truth = energy_norm(system.op, x);
    CAPTURE(iterations, report.error, truth);
    CHECK(report.error <= truth * (1 + 1e-6));  // r.M r <= e.A e: the cycle is a contraction
    CHECK(report.error >= 0.5 * truth);
  }
}

TEST_CASE("a preconditioner of a nearby operator serves") {
  const Grid grid = sample_grid(40, 40, 1.1);
  SampleSystem system = sample_system(grid, Coefficient::jumps, 0, 61);
  EllipticSolver solver(40, 40);
  solver.prepare(system.op);
  Draws draws(62);
  for (auto* field : {&system.op.east, &system.op.south, &system.op.shunt}) {
    for (double& g : *field) g *= draws.between(0.8, 1.2);
  }
  std::vector<double> x(grid.cells(), 0.0);
  const SolveReport report = solver.solve(system.op, system.right_side, 1e-12, 60, x);
  CHECK(report.converged);
  const auto exact = direct_solution(system);
  for (std::size_t c = 0; c < x.size(); ++c) x[c] -= exact[c];
  CHECK(energy_norm(system.op, x) <= 1e-11);
}

TEST_CASE("a start at the solution ends at once") {
  const SampleSystem system = sample_system(sample_grid(20, 20, 1.1), Coefficient::jumps, 0, 71);
  std::vector<double> x = direct_solution(system);
  EllipticSolver solver(20, 20);
  solver.prepare(system.op);
  const SolveReport report = solver.solve(system.op, system.right_side, 1e-9, 50, x);
  CHECK(report.converged);
  CHECK(report.iterations == 0);
  std::vector<double> zero(x.size(), 0.0);
  CHECK(solver.solve(system.op, std::vector<double>(x.size(), 0.0), 0, 50, zero).converged);
  CHECK(std::all_of(zero.begin(), zero.end(), [](double value) { return value == 0; }));
}

TEST_CASE("what cannot be solved is reported, never returned as solved") {
  SampleSystem system = sample_system(sample_grid(10, 10, 1.1), Coefficient::even, 0, 81);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  std::vector<double> x(100, 0.0);
  EllipticSolver solver(10, 10);
  solver.prepare(system.op);
  auto broken = system.right_side;
  broken[55] = nan;
  CHECK_FALSE(solver.solve(system.op, broken, 1e-6, 50, x).converged);
  broken[55] = std::numeric_limits<double>::infinity();
  x.assign(100, 0.0);
  CHECK_FALSE(solver.solve(system.op, broken, 1e-6, 50, x).converged);

  // A matrix that is not positive definite.
  SampleSystem negative = system;
  for (double& shunt : negative.op.shunt) shunt = -1;
  solver.prepare(negative.op);
  x.assign(100, 0.0);
  CHECK_FALSE(solver.solve(negative.op, negative.right_side, 1e-6, 50, x).converged);
}
