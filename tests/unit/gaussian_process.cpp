// The emulator against functions that are known: a plane, which its trend holds exactly; a smooth and a kinked function
// at points it has not seen; the residuals of left-out points against processes made without them.
#include "numerics/gaussian_process.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "numerics/counter_random.hpp"

namespace dryfront {
namespace {

DenseMatrix<double> points_of(std::size_t count, std::size_t dimensions, std::uint64_t key) {
  DenseMatrix<double> points(count, dimensions);
  CounterRandom chance(key);
  for (double& x : points.values) x = chance.uniform();
  return points;
}

template <class Function>
std::vector<double> values_at(const DenseMatrix<double>& points, const Function& function) {
  std::vector<double> values;
  for (std::size_t k = 0; k < points.rows; ++k) values.push_back(function(&points(k, 0)));
  return values;
}

// Root mean square error at fresh points, and the same in standard deviations that the process states.
template <class Function>
std::pair<double, double> errors_of(const GaussianProcess& process, std::size_t dimensions, const Function& function) {
  const DenseMatrix<double> fresh = points_of(400, dimensions, 99);
  double squares = 0, scaled = 0;
  for (std::size_t k = 0; k < fresh.rows; ++k) {
    const std::span<const double> x(&fresh(k, 0), dimensions);
    const double off = process.mean(x) - function(&fresh(k, 0));
    squares += off * off / static_cast<double>(fresh.rows);
    scaled += off * off / (process.variance(x) + 1e-18) / static_cast<double>(fresh.rows);
  }
  return {std::sqrt(squares), std::sqrt(scaled)};
}

TEST_CASE("a plane is reproduced to round-off") {
  const auto plane = [](const double* x) { return 3 - 2 * x[0] + 0.5 * x[1]; };
  const DenseMatrix<double> points = points_of(12, 2, 1);
  const GaussianProcess process(points, values_at(points, plane));
  CHECK(errors_of(process, 2, plane).first < 1e-9);
  for (const double residual : process.left_out()) CHECK(std::abs(residual) < 1e-8);
}

TEST_CASE("a smooth function is predicted where it was not computed, and the stated variance is of the error's size") {
  const auto smooth = [](const double* x) { return std::sin(3 * x[0]) + x[1] * x[1] * x[2]; };
  double before = 1;
  for (const std::size_t count : {20U, 60U, 180U}) {
    const DenseMatrix<double> points = points_of(count, 3, 5);
    const GaussianProcess process(points, values_at(points, smooth));
    const auto [error, scaled] = errors_of(process, 3, smooth);
    INFO(count << " points: error " << error << ", " << scaled << " of what is stated");
    CHECK(error < 0.5 * before);
    CHECK(scaled < 3);
    before = error;
  }
  CHECK(before < 2e-3);
}

TEST_CASE("noise of the function is not followed") {
  CounterRandom chance(8);
  constexpr double noise = 0.1;
  const auto smooth = [](const double* x) { return std::sin(3 * x[0]) + x[1]; };
  const DenseMatrix<double> points = points_of(150, 2, 6);
  std::vector<double> values = values_at(points, smooth);
  for (double& value : values) value += noise * chance.normal();
  const GaussianProcess process(points, values);
  CHECK(errors_of(process, 2, smooth).first < 0.4 * noise);
}

TEST_CASE("the residual of a left-out point is that of a process without it") {
  const auto kinked = [](const double* x) { return std::max(0.0, x[0] - 0.4) + 0.3 * x[1]; };
  const DenseMatrix<double> points = points_of(40, 2, 7);
  const std::vector<double> values = values_at(points, kinked);
  const GaussianProcess whole(points, values);
  const std::vector<double> residuals = whole.left_out();
  double squares = 0, off = 0;
  for (std::size_t left = 0; left < points.rows; ++left) {
    DenseMatrix<double> others(points.rows - 1, 2);
    std::vector<double> known;
    for (std::size_t k = 0, row = 0; k < points.rows; ++k) {
      if (k == left) continue;
      std::copy_n(&points(k, 0), 2, &others(row++, 0));
      known.push_back(values[k]);
    }
    const GaussianProcess without(others, known, &whole);
    const double residual = values[left] - without.mean(std::span<const double>(&points(left, 0), 2));
    squares += residual * residual;
    off += (residual - residuals[left]) * (residual - residuals[left]);
  }
  // Its lengths are sought anew, which moves the residuals a little.
  CHECK(off < 0.05 * squares);
}

}  // namespace
}  // namespace dryfront
