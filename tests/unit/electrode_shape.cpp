// Electrode shapes: every shape of the enumeration has an area, a volume and marks that agree with what it calls metal.
// Exact: volumes and areas by summing small cells (own).
#include "physics/electrode_shape.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace dryfront;

namespace {

Electrode sized(ElectrodeShape shape) {
  Electrode electrode;
  electrode.shape = shape;
  electrode.radius = 2e-3;
  electrode.inner_radius = 1e-3;
  electrode.press = 0.7e-3;
  electrode.length = 3e-3;
  return electrode;
}

}  // namespace

TEST_CASE("every electrode shape's area is that of the surface of its metal below z = 0, or of its flat face") {
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    const Electrode electrode = sized(shape);
    // Metal below the surface per thickness, area of its boundary by the change of the cross-section along z.
    constexpr int slices = 4000;
    constexpr double depth = 4.0007e-3;  // no slice ends where the metal does
    const auto reach = [&](double z) {   // radius of the metal's cross-section at z
      double inside = 0, outside = 5e-3;
      if (!inside_metal(electrode, 0, z)) return 0.0;
      for (int k = 0; k < 60; ++k) {
        const double middle = 0.5 * (inside + outside);
        (inside_metal(electrode, middle, z) ? inside : outside) = middle;
      }
      return inside;
    };
    double area = 0;
    for (int k = 0; k < slices; ++k) {
      const double above = reach(depth * (k + 1e-9) / slices), below = reach(depth * (k + 1 - 1e-9) / slices);
      area += std::numbers::pi * (above + below) * std::hypot(depth / slices, above - below);
    }
    if (is_flat(shape)) {
      CHECK(area == 0);
      const double hole = shape == ElectrodeShape::ring ? electrode.inner_radius : 0.0;
      area = std::numbers::pi * (electrode.radius * electrode.radius - hole * hole);
    }
    CHECK(face_area(electrode, {}) == Approx(area).epsilon(2e-3));
  }
}

TEST_CASE(
    "every electrode shape's face line is the edge of its metal, and turned about the axis it has the face's area") {
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    const Electrode electrode = sized(shape);
    const ProfileLine face = face_line(electrode), side = side_line(electrode);
    REQUIRE(face.r.size() == face.z.size());
    REQUIRE(side.r.size() == side.z.size());
    double area = 0;
    for (std::size_t k = 1; k < face.r.size(); ++k) {
      area += std::numbers::pi * (face.r[k - 1] + face.r[k]) *
              std::hypot(face.r[k] - face.r[k - 1], face.z[k] - face.z[k - 1]);
    }
    CHECK(area == Approx(face_area(electrode, {})).epsilon(1e-3));
    CHECK(face.z.back() == Approx(0).margin(1e-12));
    for (std::size_t k = 0; k < face.r.size() && !is_flat(shape); ++k) {
      CHECK_FALSE(inside_metal(electrode, 1.001 * face.r[k] + 1e-6, face.z[k] + 1e-6));
    }
    for (std::size_t k = 0; k < side.r.size(); ++k) CHECK(side.z[k] <= 1e-12);
    CHECK(side.r.front() == Approx(face.r.back()));
    CHECK(side.r.back() == Approx(electrode.radius));
  }
}

TEST_CASE("every electrode shape says its radius first") {
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    const auto sizes = electrode_sizes(sized(shape), Symmetry::axis);
    REQUIRE_FALSE(sizes.empty());
    CHECK(sizes.front().first == "radius");
    CHECK(sizes.front().second == 2e-3);
  }
}

TEST_CASE("every electrode shape has metal, marks and a heat capacity") {
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    Electrode electrode = sized(shape);
    CHECK(metal_volume(electrode, {}) > 0);
    CHECK(heat_capacity(electrode, {}) > 3.95e6 * metal_volume(electrode, {}));
    CHECK_FALSE(electrode_marks(electrode).r_marks.empty());
    electrode.capacity = 7;
    CHECK(heat_capacity(electrode, {}) == 7);
  }
  // A steel disc of 12 mm and 3 mm thickness: 7900 kg/m3, 500 J/(kg K), from memory.
  Electrode disc = sized(ElectrodeShape::disc);
  disc.radius = 6e-3;
  CHECK(7900 * 500 * metal_volume(disc, {}) == Approx(1.34).epsilon(0.01));
}

TEST_CASE("about a plane a shape is drawn out along it, without ends: its face's line and its metal's section") {
  constexpr double length = 0.02;
  const ThirdDirection plane{Symmetry::plane, length};
  for (const auto& [shape, word] : enumerators(ElectrodeShape{})) {
    INFO(word);
    const Electrode electrode = sized(shape);
    const ProfileLine face = face_line(electrode);
    double line = 0;
    for (std::size_t k = 1; k < face.r.size(); ++k) {
      line += std::hypot(face.r[k] - face.r[k - 1], face.z[k] - face.z[k - 1]);
    }
    CHECK(face_area(electrode, plane) == Approx(2 * line * length).epsilon(1e-3));
    CHECK(metal_volume(electrode, {Symmetry::plane, 2 * length}) == Approx(2 * metal_volume(electrode, plane)));
    CHECK(electrode_sizes(electrode, Symmetry::plane).front().second == electrode.radius);
  }
  const Electrode dome = sized(ElectrodeShape::dome), rod = sized(ElectrodeShape::rod);
  CHECK(metal_volume(dome, plane) == Approx(std::numbers::pi * dome.radius * dome.radius * length));
  CHECK(metal_volume(rod, plane) == Approx(2 * rod.radius * rod.length * length));
  CHECK(metal_volume(sized(ElectrodeShape::disc), plane) == Approx(2 * 2e-3 * plate_thickness * length));
}
