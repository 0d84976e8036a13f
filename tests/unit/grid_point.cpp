// Values between cell centres. Exact: a field that is even in r and a parabola in r and in z is its own interpolant.
#include "numerics/grid_point.hpp"

#include <catch2/catch.hpp>
#include <vector>

#include "field_on_grid.hpp"

using namespace dryfront;

namespace {

double at(const Grid& grid, const std::vector<double>& values, double r, double z) {
  return GridPoint(grid, r, z).at([&](std::size_t cell) { return values[cell]; });
}

double even_parabola(double r, double z) { return 2 + 3 * r * r - z + 0.25 * z * z - 0.5 * r * r * z * z; }

Grid uneven() { return Grid({0, 0.4, 1, 1.3, 2.5, 3}, {0, 0.2, 0.7, 1, 2.2, 4}); }

}  // namespace

TEST_CASE("a parabola in z that is even in r is met everywhere between the centres, on the axis too") {
  const Grid grid = uneven();
  const std::vector<double> values = field_on(grid, even_parabola);
  for (const double r : {0.0, 0.1, 0.2, 0.5, 0.7, 1.15, 1.5, 2.7}) {
    for (const double z : {0.1, 0.3, 0.45, 0.8, 1.6, 2.5, 3.1}) {
      CAPTURE(r, z);
      CHECK(at(grid, values, r, z) == Approx(even_parabola(r, z)).epsilon(1e-12).margin(1e-12));
    }
  }
}

TEST_CASE("a centre has its cell's own value") {
  const Grid grid = uneven();
  // Nothing smooth: neighbours that differ by decades.
  const std::vector<double> values = field_on(grid, [](double r, double z) { return r > 1 ? 1e6 * z : -r; });
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const double r = grid.r()[static_cast<std::size_t>(i)], z = grid.z()[static_cast<std::size_t>(j)];
      CAPTURE(i, j);
      CHECK(at(grid, values, r, z) == Approx(values[grid.index(i, j)]).epsilon(1e-14));
    }
  }
}

TEST_CASE("beyond the outermost centres the nearest one counts") {
  const Grid grid = uneven();
  const std::vector<double> values = field_on(grid, even_parabola);
  const double r_last = grid.r().back(), z_first = grid.z().front(), z_last = grid.z().back();
  CHECK(at(grid, values, 0.6, 0) == Approx(even_parabola(0.6, z_first)).epsilon(1e-13));
  CHECK(at(grid, values, 0.6, 4) == Approx(even_parabola(0.6, z_last)).epsilon(1e-13));
  CHECK(at(grid, values, 3, 1.6) == Approx(even_parabola(r_last, 1.6)).epsilon(1e-13));
  CHECK(at(grid, values, 70, 90) == Approx(values.back()).epsilon(1e-13));
  CHECK(at(grid, values, 0, 0) == Approx(even_parabola(0, z_first)).epsilon(1e-13));
}

TEST_CASE("a front outside the four centres around a place does not reach it") {
  const Grid grid = uneven();
  const auto front = field_on(grid, [](double r, double z) { return r > 1.3 || z > 2.2 ? 1e6 : even_parabola(r, z); });
  CHECK(at(grid, front, 0.9, 0.5) == Approx(even_parabola(0.9, 0.5)).epsilon(1e-13));
  CHECK(at(grid, front, 1.1, 1.5) == Approx(even_parabola(1.1, 1.5)).epsilon(1e-13));
}

TEST_CASE("one row, one column, one cell") {
  const Grid row({0, 0.4, 1, 1.3}, {0, 2});
  const auto across = field_on(row, [](double r, double) { return 5 - r * r; });
  CHECK(at(row, across, 0, 0.3) == Approx(5).epsilon(1e-14));
  CHECK(at(row, across, 0.8, 1.9) == Approx(5 - 0.64).epsilon(1e-14));
  const Grid column({0, 1}, {0, 1, 2, 4});
  const auto down = field_on(column, [](double, double z) { return z * z; });
  CHECK(at(column, down, 0, 1.2) == Approx(1.44).epsilon(1e-14));
  CHECK(at(column, down, 1, 2.9) == Approx(2.9 * 2.9).epsilon(1e-14));
  CHECK(at(Grid({0, 1}, {0, 1}), {7}, 0.2, 0.9) == 7);
}
