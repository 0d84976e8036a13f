// Cells cut by a body. Exact: areas and volumes of a half ball and a cone, and where the body itself ends.
#include "numerics/cut_cells.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace dryfront;

namespace {

constexpr double pi = std::numbers::pi;

// A ball of radius 1 about the origin.
CutBody ball() {
  const auto across = [](double x) { return std::sqrt(std::max(0.0, 1 - x * x)); };
  return {[](double r, double z) { return r * r + z * z < 1; }, across, across, [](double r, double) { return r; }};
}

// All but a ball of radius 1.
CutBody around_ball() {
  CutBody body = ball();
  body.inside = [](double r, double z) { return r * r + z * z > 1; };
  return body;
}

// A cone of 45 degrees with its tip at z = 1.
CutBody cone() {
  const auto across = [](double x) { return 1 - x; };
  return {[](double r, double z) { return r + z < 1; }, across, across, [](double, double) { return std::sqrt(0.5); }};
}

Grid even_grid(int cells) {
  std::vector<double> faces;
  for (int k = 0; k <= cells; ++k) faces.push_back(1.5 * k / cells);
  return Grid(faces, faces);
}

double surface_of(const std::vector<CutLink>& links) {
  double sum = 0;
  for (const CutLink& link : links) sum += link.surface;
  return sum;
}

}  // namespace

TEST_CASE("links reach from the centres outside to the surface, from any side") {
  for (const CutBody& body : {ball(), around_ball(), cone()}) {
    const Grid grid = even_grid(31);
    const std::vector<CutLink> links = cut_links(grid, body);
    REQUIRE_FALSE(links.empty());
    for (const CutLink& link : links) {
      const double r = grid.r()[static_cast<std::size_t>(link.i)], z = grid.z()[static_cast<std::size_t>(link.j)];
      REQUIRE_FALSE(body.inside(r, z));
      REQUIRE(std::abs(link.di) + std::abs(link.dj) == 1);
      if (link.distance <= 1.001 * least_link_share * grid.width(0)) continue;
      const auto inside_at = [&](double along) {
        return body.inside(r - along * link.distance * link.di, z - along * link.distance * link.dj);
      };
      REQUIRE(inside_at(1 + 1e-9));
      REQUIRE_FALSE(inside_at(1 - 1e-9));
      const double area =
          link.di != 0 ? grid.radial_area_at(r - 0.5 * link.distance * link.di, link.j) : grid.axial_area(link.i);
      REQUIRE(link.half_cell == Approx(area / link.distance).epsilon(1e-12));
    }
  }
}

TEST_CASE("the links' parts of the surface add up to its area the closer the finer the grid") {
  for (const auto& [body, area] : {std::pair{ball(), 2 * pi}, {around_ball(), 2 * pi}, {cone(), pi * std::sqrt(2)}}) {
    for (const int cells : {15, 24, 30, 57, 81}) {  // a face at r = 1, where the surface meets z = 0
      CAPTURE(cells);
      const double size = 1.5 / cells;
      CHECK(std::abs(surface_of(cut_links(even_grid(cells), body)) / area - 1) < 0.2 * std::pow(size, 1.5));
    }
  }
}

TEST_CASE("volumes outside add up exactly, and no cell outside keeps too little") {
  for (const auto& [body, volume] : {std::pair{ball(), 2 * pi / 3}, {cone(), pi / 3}}) {
    for (const int cells : {15, 24, 31, 57}) {
      Grid grid = even_grid(cells);
      const std::vector<double> share = volume_shares(grid, body);
      double outside = 0;
      for (int j = 0; j < grid.rows(); ++j) {
        for (int i = 0; i < grid.columns(); ++i) {
          const double of_cell = share[grid.index(i, j)];
          if (body.inside(grid.r()[static_cast<std::size_t>(i)], grid.z()[static_cast<std::size_t>(j)])) {
            REQUIRE(of_cell == 1);
            continue;
          }
          REQUIRE(of_cell > 0.4);
          REQUIRE(of_cell < 2.1);
          outside += of_cell * grid.volume(i, j);
        }
      }
      CAPTURE(cells);
      CHECK(pi * 1.5 * 1.5 * 1.5 - outside == Approx(volume).epsilon(1e-9));
      grid.set_volume_shares(share);
      CHECK(grid.volume(0, 0) == Approx(pi * std::pow(1.5 / cells, 3)));
    }
  }
}
