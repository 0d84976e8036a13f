#include "studies/sweep/sensitivity.hpp"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "studies/sweep/design.hpp"

using namespace dryfront;

namespace {

// The results of a saltelli design of `axes` axes uniform in (0, 1), drawn as a sweep draws it.
std::vector<double> saltelli_results(std::size_t axes, int base_points, int seed,
                                     const std::function<double(const std::vector<double>&)>& f) {
  Plan plan;
  plan.seed = seed;
  PlanDesign design;
  design.kind = DesignKind::saltelli;
  design.points = base_points;
  for (std::size_t k = 0; k < axes; ++k) {
    plan.axes.emplace_back();
    plan.axes.back().distribution = Distribution::uniform;
    plan.axes.back().low = 0;
    plan.axes.back().high = 1;
    design.axes.push_back(k);
  }
  plan.designs.push_back(design);
  PlanPoints points(plan);
  std::vector<double> results;
  for (std::uint64_t k = 0; k < points.size(); ++k) {
    std::vector<double> x;
    for (const AxisSetting& setting : points.at(k)) x.push_back(setting.number);
    results.push_back(f(x));
  }
  return results;
}

// f = sin x1 + a sin^2 x2 + b x3^4 sin x1, x in (-pi, pi); Ishigami and Homma 1990.
constexpr double ishigami_a = 7, ishigami_b = 0.1, pi = std::numbers::pi;
double ishigami(const std::vector<double>& u) {
  const auto x = [&](std::size_t k) { return pi * (2 * u[k] - 1); };
  return std::sin(x(0)) + ishigami_a * std::pow(std::sin(x(1)), 2) + ishigami_b * std::pow(x(2), 4) * std::sin(x(0));
}

}  // namespace

TEST_CASE("Sobol indices of the Ishigami function", "[sensitivity]") {
  // Exact: V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 (1/18 - 1/50), V3 = 0 (Ishigami and Homma 1990).
  const double v1 = std::pow(1 + ishigami_b * std::pow(pi, 4) / 5, 2) / 2, v2 = ishigami_a * ishigami_a / 8;
  const double v13 = ishigami_b * ishigami_b * std::pow(pi, 8) * (1.0 / 18 - 1.0 / 50), v = v1 + v2 + v13;
  const std::array<double, 3> first{v1 / v, v2 / v, 0}, total{(v1 + v13) / v, v2 / v, v13 / v};

  const SobolIndices indices = sobol_indices(saltelli_results(3, 4096, 1, ishigami), 3, 1);
  CHECK(indices.base_points == 4096);
  CHECK(indices.variance == Approx(v).epsilon(0.01));
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK(indices.first[k].value == Approx(first[k]).margin(0.01));
    CHECK(indices.total[k].value == Approx(total[k]).margin(0.01));
    CHECK(indices.first[k].low < first[k]);
    CHECK(indices.first[k].high > first[k]);
    CHECK(indices.total[k].low < total[k]);
    CHECK(indices.total[k].high > total[k]);
  }
}

TEST_CASE("the error of the indices falls with the base points", "[sensitivity]") {
  const double v1 = std::pow(1 + ishigami_b * std::pow(pi, 4) / 5, 2) / 2, v2 = ishigami_a * ishigami_a / 8;
  const double v13 = ishigami_b * ishigami_b * std::pow(pi, 8) * (1.0 / 18 - 1.0 / 50), v = v1 + v2 + v13;
  const auto error = [&](int base_points) {
    double sum = 0;
    for (int seed = 1; seed <= 8; ++seed) {
      const SobolIndices indices = sobol_indices(saltelli_results(3, base_points, seed, ishigami), 3, 1);
      sum += std::pow(indices.total[0].value - (v1 + v13) / v, 2) + std::pow(indices.total[2].value - v13 / v, 2);
    }
    return std::sqrt(sum / 16);
  };
  CHECK(error(2048) < 0.5 * error(128));  // chance alone would give a quarter
}

TEST_CASE("Sobol indices of the g-function", "[sensitivity]") {
  // f = product of (|4 x_k - 2| + a_k)/(1 + a_k): V_k = 1/(3 (1 + a_k)^2), 1 + V = product of (1 + V_k) (Saltelli and
  // Sobol 1995).
  const std::array<double, 6> a{0, 0.5, 3, 9, 99, 99};
  const auto g = [&](const std::vector<double>& x) {
    double product = 1;
    for (std::size_t k = 0; k < a.size(); ++k) product *= (std::abs(4 * x[k] - 2) + a[k]) / (1 + a[k]);
    return product;
  };
  const auto part = [&](std::size_t k) { return 1 / (3 * std::pow(1 + a[k], 2)); };
  double product = 1;
  for (std::size_t k = 0; k < a.size(); ++k) product *= 1 + part(k);
  const double v = product - 1;

  const SobolIndices indices = sobol_indices(saltelli_results(a.size(), 8192, 2, g), a.size(), 1);
  CHECK(indices.mean == Approx(1).epsilon(0.005));
  CHECK(indices.variance == Approx(v).epsilon(0.02));
  for (std::size_t k = 0; k < a.size(); ++k) {
    CHECK(indices.first[k].value == Approx(part(k) / v).margin(0.015));
    CHECK(indices.total[k].value == Approx(part(k) * product / (1 + part(k)) / v).margin(0.015));
  }
}

TEST_CASE("the 95 % ranges hold the exact index about that often", "[sensitivity]") {
  // f = x1 + 2 x2: first and total are 1/5 and 4/5.
  const auto f = [](const std::vector<double>& x) { return x[0] + 2 * x[1]; };
  int inside = 0;
  for (int seed = 1; seed <= 50; ++seed) {
    const SobolIndices indices = sobol_indices(saltelli_results(2, 64, seed, f), 2, 7);
    inside += indices.total[1].low <= 0.8 && 0.8 <= indices.total[1].high ? 1 : 0;
  }
  CHECK(inside >= 45);  // quasi-random points err less than the resampling supposes, so all may be inside
}

TEST_CASE("a base point without a result is left out whole", "[sensitivity]") {
  const auto f = [](const std::vector<double>& x) { return x[0] + 2 * x[1]; };
  std::vector<double> results = saltelli_results(2, 256, 3, f);
  results[4 * 17 + 2] = not_a_number;
  results[4 * 99] = std::numeric_limits<double>::infinity();
  const SobolIndices indices = sobol_indices(results, 2, 1);
  CHECK(indices.left_out == 2);
  CHECK(indices.base_points == 254);
  CHECK(indices.total[1].value == Approx(0.8).margin(0.03));
}

TEST_CASE("without variance there are no indices", "[sensitivity]") {
  const SobolIndices indices =
      sobol_indices(saltelli_results(2, 16, 3, [](const std::vector<double>&) { return 0.1 + 0.2; }), 2, 1);
  CHECK(std::isnan(indices.first[0].value));
  CHECK(std::isnan(indices.total[1].high));
}

TEST_CASE("quantiles between order statistics", "[sensitivity]") {
  const std::array<double, 5> values{1, 2, 4, 8, 16};
  CHECK(sorted_quantile(values, 0) == 1);
  CHECK(sorted_quantile(values, 0.5) == 4);
  CHECK(sorted_quantile(values, 0.625) == 6);
  CHECK(sorted_quantile(values, 1) == 16);
  CHECK(std::isnan(sorted_quantile({}, 0.5)));
}

TEST_CASE("the level line of a plane is straight and lies where it should", "[sensitivity]") {
  const std::vector<double> x{0, 1, 3}, y{0, 2, 3};
  std::vector<double> field;
  for (const double a : x) {
    for (const double b : y) field.push_back(a + b);
  }
  const std::vector<LevelSegment> line = level_line(x, y, field, 2.5);
  REQUIRE(line.size() == 3);
  for (const LevelSegment& s : line) {
    CHECK(s.x0 + s.y0 == Approx(2.5));
    CHECK(s.x1 + s.y1 == Approx(2.5));
  }
}

TEST_CASE("a saddle's two lines cut off the corners of the sign its centre has not", "[sensitivity]") {
  const std::vector<double> sides{0, 1};
  // How many of the lines stay within half a cell of a corner.
  const auto around = [](const std::vector<LevelSegment>& line, double x, double y) {
    return std::count_if(line.begin(), line.end(), [&](const LevelSegment& s) {
      const auto near = [](double a, double b) { return std::abs(a - b) <= 0.5; };
      return near(s.x0, x) && near(s.x1, x) && near(s.y0, y) && near(s.y1, y);
    });
  };
  // Corners (0,0) and (1,1) high, the others low. The mean is above the level: the low corners are cut off.
  const std::vector<LevelSegment> high = level_line(sides, sides, std::vector<double>{3, -2, -2, 3}, 0);
  REQUIRE(high.size() == 2);
  CHECK(around(high, 1, 0) == 1);
  CHECK(around(high, 0, 1) == 1);
  // The mean is below: the high corners are cut off.
  const std::vector<LevelSegment> low = level_line(sides, sides, std::vector<double>{2, -3, -3, 2}, 0);
  REQUIRE(low.size() == 2);
  CHECK(around(low, 0, 0) == 1);
  CHECK(around(low, 1, 1) == 1);
}

TEST_CASE("no line through a cell with a missing corner", "[sensitivity]") {
  CHECK(level_line(std::vector<double>{0, 1}, std::vector<double>{0, 1}, std::vector<double>{1, -1, not_a_number, 1}, 0)
            .empty());
}
