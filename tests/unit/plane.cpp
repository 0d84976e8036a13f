// Symmetry about a plane. Exact: a body that is the same all along has powers, loads and volumes that go with its
// length; areas of elementary solids drawn out along the plane. What is solved on it: `dryfront verify` (E7, E8, H10,
// M2).
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "numerics/flux.hpp"
#include "physics/contact.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

Case about_plane(double length) {
  Case c = small_case();
  c.specimen.symmetry = Symmetry::plane;
  c.specimen.length = length;
  c.specimen.radius = c.specimen.depth = 0.01;
  c.specimen.side_voltage = FarVoltage::insulated;
  c.specimen.bottom_voltage = FarVoltage::grounded;
  c.electrode.radius = 1e-3;
  c.modes.resize(1);
  return c;
}

}  // namespace

TEST_CASE("about a plane every shape keeps the area of the smooth solid on both sides of it") {
  constexpr double length = 0.03;
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    Case c = about_plane(length);
    Electrode& electrode = c.electrode;
    electrode.shape = shape;
    electrode.inner_radius = 0.4e-3;
    electrode.press = 0.5e-3;
    electrode.length = 2e-3;
    const Grid grid = case_grid(c);
    const ContactGeometry geometry = contact_geometry(grid, electrode);
    const double across = shape == ElectrodeShape::disc   ? 2e-3
                          : shape == ElectrodeShape::ring ? 2 * 0.6e-3
                          : shape == ElectrodeShape::dome ? 2e-3 * std::numbers::pi / 3  // acos(1/2)
                                                          : 2 * 3e-3;
    CHECK(geometry.area == Approx(across * length).epsilon(1e-12));
    for (const ContactFace& face : geometry.faces) {
      const int i = static_cast<int>(face.cell % static_cast<std::size_t>(grid.columns()));
      const int j = static_cast<int>(face.row);
      if (shape == ElectrodeShape::dome) continue;  // its surface cuts the cells
      const double expected =
          face.di != 0 ? radial_half_conductance(grid, 1.0, i, i, j) : axial_half_conductance(grid, 1.0, i, j);
      CHECK(face.half_cell == Approx(expected).epsilon(1e-12));
    }
  }
}

TEST_CASE("twice the length at twice the power is the same section to the last bit, while it strikes and dries") {
  Case once = about_plane(0.01);
  once.physics.spark_law = SparkLaw::area;    // channels are so many in all, not along the length
  once.electrode.heat = ElectrodeHeat::held;  // the shaft of one that warms up is the same at any length
  once.modes[0].source.setting = 32;
  Case twice = once;
  twice.specimen.length *= 2;
  twice.modes[0].source.setting *= 2;
  const ModeRecord one = run(once, case_grid(once), {}, 1)[0], two = run(twice, case_grid(twice), {}, 1)[0];
  CHECK_FALSE(std::isnan(one.dry_out));
  CHECK_FALSE(std::isnan(one.arcing));
  CHECK(one.steps == two.steps);
  CHECK(one.dry_out == two.dry_out);
  CHECK(one.peak_temperature == two.peak_temperature);
  CHECK(one.resistance_end == 2 * two.resistance_end);
  CHECK(2 * one.delivered == two.delivered);
  for (std::size_t e = 0; e < one.effects.size(); ++e) {
    CHECK(one.effects[e].depth > 0);
    CHECK(one.effects[e].depth == two.effects[e].depth);
    CHECK(2 * one.effects[e].volume == two.effects[e].volume);
  }
  CHECK(one.ledger.electric <= 1e-6);
  CHECK(one.ledger.energy <= 1e-4);
}
