// Depth of effect: fields whose crossings are known in closed form (planes, cylinders, a paraboloid); elementary
// geometry.
#include "simulation/depth.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "field_on_grid.hpp"

using namespace dryfront;

namespace {

constexpr double pi = std::numbers::pi;

Grid graded() {
  const std::vector<double> marks{0.0};
  const auto faces = graded_faces(0, 0.02, {}, marks, {1e-4, 1.1, 1e-3});
  return Grid(faces, faces);
}

std::vector<double> depths(const Grid& grid, const std::vector<double>& excess) {
  std::vector<double> depth(grid.r().size(), -1.0);
  depth_per_column(grid, excess, depth);
  return depth;
}

}  // namespace

TEST_CASE("a plane is found exactly, wherever it lies between centres") {
  const Grid grid = graded();
  for (const double at : {3.1e-4, 1e-3, 4.321e-3, 0.0175}) {
    for (const double depth : depths(grid, field_on(grid, [&](double, double z) { return 70 * (at - z); }))) {
      REQUIRE(depth == Approx(at).epsilon(1e-12));
    }
  }
}

TEST_CASE("a slanting plane has its depth column by column") {
  const Grid grid = graded();
  const auto depth = depths(grid, field_on(grid, [](double r, double z) { return 5e-3 - 0.5 * r - z; }));
  for (std::size_t i = 0; i < depth.size(); ++i) {
    const double exact = 5e-3 - 0.5 * grid.r()[i];
    CHECK(depth[i] == Approx(exact < grid.z()[0] ? 0.0 : exact).epsilon(1e-12).margin(0));
  }
}

TEST_CASE("nothing inside has no depth, everything inside reaches the bottom") {
  const Grid grid = graded();
  const auto nothing = field_on(grid, [](double, double) { return -1e-300; });
  for (const double depth : depths(grid, nothing)) CHECK(depth == 0);
  CHECK(surface_half_width(grid, nothing) == 0);
  CHECK(volume_inside(grid, nothing) == 0);
  const auto all = field_on(grid, [](double, double) { return 1.0; });
  for (const double depth : depths(grid, all)) CHECK(depth == 0.02);
  CHECK(surface_half_width(grid, all) == 0.02);
  CHECK(volume_inside(grid, all) == Approx(pi * std::pow(0.02, 3)).epsilon(1e-12));
}

TEST_CASE("exactly at the level counts as inside") {
  const Grid grid({0, 1}, {0, 1, 2, 3});
  CHECK(depths(grid, {1, 0, -1})[0] == 1.5);
  CHECK(depths(grid, {0, -1, -1})[0] == 0.5);
}

TEST_CASE("the deepest crossing counts where an effect has two") {
  const Grid grid = graded();
  // Cooled from above: only the layer between 1 and 3 mm is inside.
  const auto layer = field_on(grid, [](double, double z) { return 1e-3 - std::abs(z - 2e-3); });
  for (const double depth : depths(grid, layer)) REQUIRE(depth == Approx(3e-3).epsilon(1e-12));
  CHECK(surface_half_width(grid, layer) == 0);
  CHECK(volume_inside(grid, layer) == Approx(pi * 0.02 * 0.02 * 2e-3).epsilon(1e-12));
}

TEST_CASE("a field that is a parabola between centres is located exactly") {
  const Grid grid = graded();
  for (const double at : {3.1e-4, 1e-3, 4.321e-3, 0.0175}) {
    // Zero at `at` only: falling ever faster, and levelling off towards a least value beyond the bottom.
    for (const double other : {-4e-3, 0.03}) {
      const double sign = other > at ? 1 : -1;
      const auto deep = field_on(grid, [&](double, double z) { return sign * (z - at) * (z - other); });
      for (const double depth : depths(grid, deep)) REQUIRE(depth == Approx(at).epsilon(1e-11));
      CHECK(volume_inside(grid, deep) == Approx(pi * 0.02 * 0.02 * at).epsilon(1e-11));
      const auto wide = field_on(grid, [&](double r, double) { return sign * (r - at) * (r - other); });
      CHECK(surface_half_width(grid, wide) == Approx(at).epsilon(1e-11));
    }
  }
}

TEST_CASE("half-width and volume of a cylinder and a paraboloid") {
  const Grid grid = graded();
  const auto wide = field_on(grid, [](double r, double) { return 6.5e-3 - r; });
  CHECK(surface_half_width(grid, wide) == Approx(6.5e-3).epsilon(1e-12));

  const double a = 8e-3, h = 5e-3;  // volume pi a^2 h/2
  const auto bowl = field_on(grid, [&](double r, double z) { return h * (1 - r * r / (a * a)) - z; });
  CHECK(volume_inside(grid, bowl) == Approx(pi * a * a * h / 2).epsilon(0.005));
  CHECK(depths(grid, bowl)[0] == Approx(h).epsilon(1e-3));
}

TEST_CASE("every effect is compared in its own measure") {
  std::vector<double> excess(3);
  const std::vector<double> temperature{40, 60, 80}, water{1, 0.5, 0.1}, peak{100, 200, 300}, cem43{0, 240, 1e6};
  const std::vector<std::vector<double>> omega{{0, 1, std::exp(2.0)}, {1e-30, 0.1, 10}};
  const EffectFields fields{temperature, water, peak, cem43, omega};
  const auto of = [&](EffectKind kind, double at, int pair) {
    excess_of({"", kind, pair, at}, fields, excess);
    return excess;
  };
  CHECK(of(EffectKind::temperature, 60, 0) == std::vector<double>{-20, 0, 20});
  CHECK(of(EffectKind::dry, 0.5, 0) == std::vector<double>{-0.5, 0, 0.4});
  CHECK(of(EffectKind::peak_temperature, 250, 0) == std::vector<double>{-150, -50, 50});
  CHECK(of(EffectKind::cem43, 240, 0) == std::vector<double>{-240, 0, 1e6 - 240});
  of(EffectKind::damage, 1, 0);  // logarithms, with a floor
  CHECK(excess[0] == Approx(std::log(1e-12)));
  CHECK(excess[1] == 0);
  CHECK(excess[2] == Approx(2));
  of(EffectKind::damage, 0.1, 1);
  CHECK(excess[0] == Approx(std::log(1e-12) - std::log(0.1)));
  CHECK(excess[1] == Approx(0).margin(1e-14));
  CHECK(excess[2] == Approx(std::log(100.0)));
}

TEST_CASE("damage that falls as an exponential is located exactly") {
  const Grid grid = graded();
  const std::vector<std::vector<double>> omega{
      field_on(grid, [](double, double z) { return std::exp((2.7e-3 - z) / 1e-4); })};
  std::vector<double> excess(grid.cells());
  excess_of({"coagulation", EffectKind::damage, 0, 1}, {{}, {}, {}, {}, omega}, excess);
  for (const double depth : depths(grid, excess)) REQUIRE(depth == Approx(2.7e-3).epsilon(1e-12));
}
