// The grid. Exact: areas and volume of a cylinder, the stated properties of the grading, and the integral of 1/size in
// closed form, log(1 + s d/fine)/s over a distance d from a mark where the size grows as fine + s d; nothing else is
// compared.
#include "numerics/grid.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <vector>

using namespace dryfront;

namespace {

constexpr double pi = std::numbers::pi;

bool holds(const std::vector<double>& faces, double value) {
  return std::find(faces.begin(), faces.end(), value) != faces.end();
}

Grading halved(const Grading& grading) { return {grading.fine / 2, 1 + (grading.growth - 1) / 2, grading.coarse / 2}; }

}  // namespace

TEST_CASE("areas and volumes of a graded grid add up to the cylinder's") {
  const double radius = 0.04, depth = 0.03;
  const std::vector<double> r_marks{0.006}, z_marks{0.0};
  const Grid grid(graded_faces(0, radius, r_marks, r_marks, {}), graded_faces(0, depth, {}, z_marks, {}));
  double top = 0, volume = 0, side = 0, inner = 0;
  for (int i = 0; i < grid.columns(); ++i) top += grid.axial_area(i);
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) volume += grid.volume(i, j);
    side += grid.radial_area(grid.columns(), j);
    inner += grid.radial_area(0, j);
  }
  CHECK(top == Approx(pi * radius * radius).epsilon(1e-13));
  CHECK(volume == Approx(pi * radius * radius * depth).epsilon(1e-13));
  CHECK(side == Approx(2 * pi * radius * depth).epsilon(1e-13));
  CHECK(inner == 0);  // the axis has no area
  CHECK(grid.cells() == static_cast<std::size_t>(grid.columns() * grid.rows()));
}

TEST_CASE("about a plane the areas and volumes add up to those of the whole block, both sides of the plane") {
  const double half_width = 0.04, depth = 0.03, length = 0.02;
  const std::vector<double> marks{0.0, 0.0005};
  const Grid grid(graded_faces(0, half_width, {}, marks, {}), graded_faces(0, depth, {}, marks, {}), length);
  CHECK(grid.symmetry() == Symmetry::plane);
  CHECK(grid.length() == length);
  double top = 0, volume = 0, side = 0;
  for (int i = 0; i < grid.columns(); ++i) top += grid.axial_area(i);
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) volume += grid.volume(i, j);
    side += grid.radial_area(grid.columns(), j);
    CHECK(grid.radial_area(0, j) == grid.radial_area(grid.columns(), j));  // no place is nearer to anything
  }
  CHECK(top == Approx(2 * half_width * length).epsilon(1e-13));
  CHECK(volume == Approx(2 * half_width * length * depth).epsilon(1e-13));
  CHECK(side == Approx(2 * depth * length).epsilon(1e-13));
}

TEST_CASE("indices, centres and sizes follow the picture in the header") {
  const Grid grid({0, 1, 3}, {0, 2, 3, 7});
  REQUIRE(grid.columns() == 2);
  REQUIRE(grid.rows() == 3);
  CHECK(grid.index(1, 0) == 1);
  CHECK(grid.index(0, 1) == 2);
  CHECK(grid.index(1, 2) == 5);
  CHECK(grid.r() == std::vector<double>{0.5, 2});
  CHECK(grid.z() == std::vector<double>{1, 2.5, 5});
  CHECK(grid.width(1) == 2);
  CHECK(grid.height(2) == 4);
  CHECK(grid.axial_area(1) == Approx(8 * pi).epsilon(1e-15));
  CHECK(grid.radial_area(1, 2) == Approx(8 * pi).epsilon(1e-15));
  CHECK(grid.volume(1, 2) == Approx(32 * pi).epsilon(1e-15));
}

TEST_CASE("a thin ring far from the axis keeps the digits of its area") {
  const double width = 1e-9;
  const Grid grid({0, 1, 1 + width}, {0, 1});
  const double exact_width = (1 + width) - 1;  // as the two numbers are stored
  CHECK(grid.axial_area(1) == Approx(pi * exact_width * (2 + exact_width)).epsilon(1e-14));
}

TEST_CASE("every breakpoint is a face to the last bit, whatever their order") {
  const std::vector<double> stops{0.0123, 0.001, 1.0 / 300, 0.00601, 0.001};
  const std::vector<double> marks{0.0};
  const std::vector<double> faces = graded_faces(0, 0.04, stops, marks, {});
  for (const double stop : stops) CHECK(holds(faces, stop));
  CHECK(faces.front() == 0);
  CHECK(faces.back() == 0.04);
  CHECK(std::is_sorted(faces.begin(), faces.end(), std::less_equal<>()));  // strictly increasing
  CHECK_NOTHROW(Grid(faces, faces));
}

TEST_CASE("breakpoints at or outside the ends change nothing") {
  const std::vector<double> outside{-0.01, 0.0, 0.04, 0.05}, marks{0.0};
  CHECK(graded_faces(0, 0.04, outside, marks, {}) == graded_faces(0, 0.04, {}, marks, {}));
}

TEST_CASE("cells keep to the wanted size: fine at the marks, growing from there, never above coarse") {
  const Grading grading{5e-5, 1.08, 1e-3};
  const std::vector<double> marks{0.0, 0.006};
  const std::vector<double> faces = graded_faces(0, 0.04, {}, marks, grading);
  for (std::size_t k = 0; k + 1 < faces.size(); ++k) {
    const double size = faces[k + 1] - faces[k];
    double farthest = 0;  // of the cell's points from the nearest mark
    for (const double x : {faces[k], faces[k + 1]}) {
      farthest = std::max(farthest, std::min(std::abs(x), std::abs(x - 0.006)));
    }
    CAPTURE(k, faces[k], size);
    CHECK(size <= std::min(grading.coarse, grading.fine + (grading.growth - 1) * farthest) * (1 + 1e-6));
    if (k > 0) {
      const double ratio = size / (faces[k] - faces[k - 1]);
      CHECK(std::abs(std::log(ratio)) <= (grading.growth - 1) * 1.01);
    }
  }
  CHECK(faces[1] < 1.05 * grading.fine);
  CHECK(faces[1] > 0.9 * grading.fine);
}

TEST_CASE("at an edge cells are a quarter of fine and grow five times as fast, nowhere above what the marks want") {
  const Grading grading{5e-5, 1.08, 1e-3};
  const std::vector<double> marks{0.0, 0.006}, stops{0.006}, edges{0.006};
  const std::vector<double> faces = graded_faces(0, 0.04, stops, marks, grading, edges);
  for (std::size_t k = 0; k + 1 < faces.size(); ++k) {
    const double size = faces[k + 1] - faces[k];
    double from_mark = 0, from_edge = 0;  // the farthest of the cell's points
    for (const double x : {faces[k], faces[k + 1]}) {
      from_mark = std::max(from_mark, std::min(std::abs(x), std::abs(x - 0.006)));
      from_edge = std::max(from_edge, std::abs(x - 0.006));
    }
    CAPTURE(k, faces[k], size);
    CHECK(size <= (grading.fine + 0.08 * from_mark) * (1 + 1e-6));
    CHECK(size <= (grading.fine / 4 + 0.4 * from_edge) * (1 + 1e-6));
    if (std::abs(faces[k] - 0.006) < 1e-12) CHECK(size > 0.9 * grading.fine / 4);
  }
  // Halving everything halves every cell, and cells that do not grow have no edges.
  const std::vector<double> finer = graded_faces(0, 0.04, stops, marks, halved(grading), edges);
  CHECK(static_cast<double>(finer.size()) == Approx(2 * static_cast<double>(faces.size())).margin(4));
  const Grading equal{1e-3, 1, 1e-3};
  CHECK(graded_faces(0, 0.04, stops, marks, equal, edges) == graded_faces(0, 0.04, stops, marks, equal));
}

TEST_CASE("cells far finer than a thousandth of the length follow the wanted size as well") {
  const double length = 0.03, coarse = 1e-3;
  const std::vector<double> marks{0.0};
  for (const double fine : {5e-5, 5e-6, 5e-7, 1e-9}) {
    for (const double growth : {1.02, 1.2}) {
      const double s = growth - 1;
      for (const bool levels_off : {false, true}) {
        const Grading grading{fine, growth, levels_off ? coarse : 1.0};
        const double reach = levels_off ? std::min(length, (coarse - fine) / s) : length;
        const double near = std::log1p(s * reach / fine) / s;  // cells while the size grows
        const double wanted = near + (length - reach) / coarse;
        const std::vector<double> faces = graded_faces(0, length, {}, marks, grading);
        const double cells = std::ceil(wanted);
        CAPTURE(fine, growth, levels_off, wanted);
        REQUIRE(static_cast<double>(faces.size()) == cells + 1);
        const double part = wanted / cells;  // of a wanted cell in each
        for (std::size_t k = 0; k < faces.size(); ++k) {
          const double count = part * static_cast<double>(k);
          const double exact = count < near ? fine * std::expm1(s * count) / s : reach + coarse * (count - near);
          REQUIRE(faces[k] == Approx(exact).epsilon(1e-10).margin(0));
        }
        // Hence the first cell lies within one cell's growth of the wanted size, and so does every cell from the one
        // before.
        CHECK(faces[1] <= fine * std::exp(s) * (1 + 1e-12));
        CHECK(faces[1] >= fine * part * (1 - 1e-12));
        for (std::size_t k = 2; k < faces.size(); ++k) {
          const double ratio = (faces[k] - faces[k - 1]) / (faces[k - 1] - faces[k - 2]);
          REQUIRE(ratio <= std::exp(s) * (1 + 1e-6));
          REQUIRE(ratio >= 1 - 1e-6);
        }
      }
    }
  }
}

TEST_CASE("between two marks very fine cells grow from either one and meet half-way") {
  const Grading grading{5e-7, 1.2, 1.0};
  const std::vector<double> marks{0.0, 0.03}, stops{0.012};
  const std::vector<double> faces = graded_faces(0, 0.03, {}, marks, grading);
  const double wanted = 2 * std::log1p(0.2 * 0.015 / grading.fine) / 0.2;
  CHECK(static_cast<double>(faces.size()) == std::ceil(wanted) + 1);
  for (std::size_t k = 0; k < faces.size(); ++k) {
    REQUIRE(faces[k] == Approx(0.03 - faces[faces.size() - 1 - k]).epsilon(1e-9).margin(1e-15));
  }
  // A breakpoint cuts the same law in two intervals of their own whole numbers.
  const double first = std::log1p(0.2 * 0.012 / grading.fine) / 0.2;
  const std::vector<double> cut = graded_faces(0, 0.03, stops, marks, grading);
  CHECK(static_cast<double>(cut.size()) == std::ceil(first) + std::ceil(wanted - first) + 1);
  CHECK(cut[static_cast<std::size_t>(std::ceil(first))] == 0.012);
}

TEST_CASE("a length of whole cells is cut into just so many") {
  const Grading uniform{1e-3, 1.0, 1e-3};
  const std::vector<double> marks{0.0};
  const std::vector<double> faces = graded_faces(0, 0.04, {}, marks, uniform);
  REQUIRE(faces.size() == 41);
  for (std::size_t k = 0; k < faces.size(); ++k) CHECK(faces[k] == Approx(1e-3 * static_cast<double>(k)).margin(1e-15));
  CHECK(graded_faces(0, 0.04, {}, {}, {1e-4, 1.5, 1e-3}) == faces);  // no mark: coarse throughout
}

TEST_CASE("halving fine, coarse and growth - 1 together halves every cell") {
  // An interval is cut into the next whole number of cells, so halving makes 2n cells or, when n was rounded up by more
  // than a half, 2n - 1; with 2n every second face is an old one.
  int doubled = 0, one_less = 0;
  for (const double length : {0.011, 0.013, 0.017, 0.023, 0.029, 0.031, 0.037, 0.04}) {
    const Grading grading{2e-4, 1.12, 2e-3};
    const std::vector<double> marks{0.0, 0.006};
    const auto once = graded_faces(0, length, {}, marks, grading);
    const auto twice = graded_faces(0, length, {}, marks, halved(grading));
    const std::size_t cells = once.size() - 1;
    CAPTURE(length, cells, twice.size() - 1);
    if (twice.size() - 1 == 2 * cells) {
      ++doubled;
      for (std::size_t k = 0; k < once.size(); ++k) CHECK(twice[2 * k] == Approx(once[k]).margin(1e-9 * length));
    } else {
      ++one_less;
      CHECK(twice.size() - 1 == 2 * cells - 1);
    }
  }
  CHECK(doubled > 0);
  CHECK(one_less > 0);
}

TEST_CASE("what is no grid is refused") {
  const std::vector<double> marks{0.0};
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(graded_faces(1, 1, {}, marks, {}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(2, 1, {}, marks, {}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, nan, {}, marks, {}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, 1, {}, marks, {0, 1.1, 1}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, 1, {}, marks, {-1, 1.1, 1}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, 1, {}, marks, {1, 1.1, 0.5}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, 1, {}, marks, {0.1, 0.9, 0.5}), std::invalid_argument);
  CHECK_THROWS_AS(graded_faces(0, 1, {}, marks, {nan, 1.1, 0.5}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, 1}, {0, 1}, 0), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, 1}, {0, 1}, nan), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0.1, 1}, {0, 1}, 1), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0}, {0, 1}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, 1}, {}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0.1, 1}, {0, 1}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, 1, 1}, {0, 1}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, 1}, {0, 2, 1}), std::invalid_argument);
  CHECK_THROWS_AS(Grid({0, nan}, {0, 1}), std::invalid_argument);
}
