// The contact: areas of elementary solids, and the contact law of docs/model.md worked by hand.
#include "physics/contact.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "numerics/flux.hpp"
#include "random_fields.hpp"
#include "simulation/run.hpp"

using namespace dryfront;

namespace {

constexpr double pi = std::numbers::pi;

Electrode electrode_of(ElectrodeShape shape) {
  Electrode electrode;
  electrode.shape = shape;
  electrode.radius = 2e-3;
  electrode.inner_radius = 1e-3;
  electrode.press = 1e-3;
  electrode.length = 4e-3;
  return electrode;
}

Case case_of(const Electrode& electrode) {
  Case c;
  c.specimen.layers.resize(1);
  c.specimen.radius = 0.02;
  c.specimen.depth = 0.02;
  c.electrode = electrode;
  c.grading = {1e-4, 1.2, 2e-3};
  return c;
}

Waveform gated(double duty) {
  Waveform waveform;
  waveform.kind = WaveformKind::gated;
  waveform.duty = duty;
  waveform.repeat = duty * waveform.carrier / 8;  // eight cycles a burst
  return waveform;
}

double total_area(const ContactGeometry& geometry) {
  double sum = 0;
  for (const ContactFace& face : geometry.faces) sum += face.area;
  return sum;
}

}  // namespace

TEST_CASE("a disc and a ring cover their areas exactly") {
  for (const ElectrodeShape shape : {ElectrodeShape::disc, ElectrodeShape::ring}) {
    const Electrode electrode = electrode_of(shape);
    const Grid grid = case_grid(case_of(electrode));
    const ContactGeometry geometry = contact_geometry(grid, electrode);
    const double inner = shape == ElectrodeShape::ring ? electrode.inner_radius : 0.0;
    const double exact = pi * (electrode.radius * electrode.radius - inner * inner);
    CHECK(geometry.area == Approx(exact).epsilon(1e-12));
    CHECK(total_area(geometry) == Approx(geometry.area).epsilon(1e-12));
    CHECK(geometry.metal.empty());
    for (int i = 0; i < grid.columns(); ++i) {
      const double r = grid.r()[static_cast<std::size_t>(i)];
      CHECK((geometry.covered[static_cast<std::size_t>(i)] != 0) == (r > inner && r < electrode.radius));
    }
    for (const ContactFace& face : geometry.faces) {
      CHECK(face.row == 0);
      const int i = static_cast<int>(face.cell);
      CHECK(face.half_cell == axial_half_conductance(grid, 1.0, i, 0));
    }
  }
}

TEST_CASE("a dome and a rod have the area of the smooth solid and displace its volume") {
  for (const ElectrodeShape shape : {ElectrodeShape::dome, ElectrodeShape::rod}) {
    const Electrode electrode = electrode_of(shape);
    const Grid grid = case_grid(case_of(electrode));
    const ContactGeometry geometry = contact_geometry(grid, electrode);
    const double a = electrode.radius, h = electrode.press;
    const bool dome = shape == ElectrodeShape::dome;
    CHECK(geometry.area == Approx(dome ? 2 * pi * a * h : pi * a * a + 2 * pi * a * electrode.length).epsilon(1e-12));
    double tissue = 0;
    for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
      const auto columns = static_cast<std::size_t>(grid.columns());
      const double volume = grid.volume(static_cast<int>(cell % columns), static_cast<int>(cell / columns));
      CHECK(volume > 0);
      if (geometry.is_metal[cell] == 0) tissue += volume;
    }
    const double exact =
        dome ? pi * h * h * (3 * a - h) / 3 : pi * a * a * electrode.length;  // spherical cap; cylinder
    const double specimen = pi * 0.02 * 0.02 * 0.02;
    CHECK(specimen - tissue == Approx(exact).epsilon(1e-9));
    CHECK(static_cast<std::size_t>(std::count(geometry.is_metal.begin(), geometry.is_metal.end(), 1)) ==
          geometry.metal.size());
    for (const ContactFace& face : geometry.faces) {
      CHECK(geometry.is_metal[face.cell] == 0);
      CHECK(face.half_cell > 0);
      CHECK(face.row == face.cell / static_cast<std::size_t>(grid.columns()));
    }
    for (const CellBelow& below : geometry.below) CHECK(geometry.is_metal[below.cell] == 0);
  }
}

TEST_CASE("a dome pressed in by less than a cell touches with its area") {
  Electrode electrode = electrode_of(ElectrodeShape::dome);
  electrode.press = 5e-5;
  Case c = case_of(electrode);
  c.grading = {2e-4, 1, 2e-4};  // equal cells: none finer at its edge
  const Grid grid = case_grid(c);
  const ContactGeometry geometry = contact_geometry(grid, electrode);
  CHECK(geometry.metal.empty());
  CHECK(geometry.area == Approx(2 * pi * electrode.radius * electrode.press).epsilon(1e-12));
  const double reach = std::sqrt(electrode.press * (2 * electrode.radius - electrode.press));
  for (int i = 0; i < grid.columns(); ++i) {
    CHECK((geometry.covered[static_cast<std::size_t>(i)] != 0) == (grid.r()[static_cast<std::size_t>(i)] < reach));
  }
  for (const ContactFace& face : geometry.faces) {  // the whole rest of the cell lies between surface and half cell
    const double surface = electrode.press - electrode.radius +
                           std::sqrt(std::pow(electrode.radius, 2) - std::pow(grid.r()[face.cell], 2));
    CHECK(face.first == Approx(grid.height(0) - surface).epsilon(1e-12));
    CHECK(face.half_cell == Approx(grid.axial_area(static_cast<int>(face.cell)) / (grid.z()[0] - surface)));
  }
  CHECK_FALSE(geometry.free_surface.empty());
}

TEST_CASE("the shares below a face add up to one and reach just as deep as stated") {
  const Grid grid({0, 1e-3, 2e-3}, {0, 4e-5, 9e-5, 2e-4, 1e-3});
  Electrode electrode = electrode_of(ElectrodeShape::disc);
  electrode.radius = 1e-3;
  electrode.interface_depth = 1e-4;
  const ContactGeometry geometry = contact_geometry(grid, electrode);
  REQUIRE(geometry.faces.size() == 1);
  const ContactFace::Range range = geometry.faces[0].interface;
  REQUIRE(range.end - range.begin == 3);
  CHECK(geometry.below[range.begin].share == Approx(0.4).epsilon(1e-12));
  CHECK(geometry.below[range.begin + 1].share == Approx(0.5).epsilon(1e-12));
  CHECK(geometry.below[range.begin + 2].share == Approx(0.1).epsilon(1e-9));
  CHECK(geometry.below[range.begin + 2].cell == grid.index(0, 2));

  electrode.interface_depth = 5e-3;  // deeper than the grid: what there is
  const ContactGeometry deep = contact_geometry(grid, electrode);
  CHECK(deep.faces[0].interface.end - deep.faces[0].interface.begin == 4);
  CHECK(mean_below(deep, deep.faces[0].interface, std::vector<double>(grid.cells(), 1.0)) == Approx(1).epsilon(1e-14));

  for (const ElectrodeShape shape : {ElectrodeShape::ring, ElectrodeShape::dome, ElectrodeShape::rod}) {
    const Electrode other = electrode_of(shape);
    const ContactGeometry any = contact_geometry(case_grid(case_of(other)), other);
    for (const ContactFace& face : any.faces) {
      const std::vector<double> ones(any.is_metal.size(), 1.0);
      REQUIRE(mean_below(any, face.interface, ones) == Approx(1).epsilon(1e-12));
      REQUIRE(mean_below(any, face.constriction, ones) == Approx(1).epsilon(1e-12));
    }
  }
}

TEST_CASE("an electrode that touches no cell is refused") {
  Electrode electrode = electrode_of(ElectrodeShape::ring);
  electrode.inner_radius = 1.2e-3;
  electrode.radius = 1.3e-3;  // between the centres of a coarse grid
  CHECK_THROWS_AS(contact_geometry(Grid({0, 1e-3, 2e-3, 3e-3}, {0, 1e-3}), electrode), std::invalid_argument);
  electrode = electrode_of(ElectrodeShape::rod);
  CHECK_THROWS_AS(contact_geometry(Grid({0, 1e-3}, {0, 1e-3}), electrode), std::invalid_argument);  // metal only
}

TEST_CASE("the conductance of spots is that of the constriction by Negus and Yovanovich 1984 (from memory)") {
  // 4 eps/(sqrt(pi) B psi) with their polynomial psi.
  const double eps = std::sqrt(0.4);
  const double psi =
      1 - 1.40978 * eps + 0.34406 * std::pow(eps, 3) + 0.0435 * std::pow(eps, 5) + 0.02271 * std::pow(eps, 7);
  CHECK(spots_conductance(0.4, 3e-4) == Approx(4 * eps / (std::sqrt(3.14159265358979) * 3e-4 * psi)).epsilon(1e-3));
}

TEST_CASE("each kind of contact follows its law") {
  const Grid grid({0, 1e-3, 2e-3}, {0, 5e-5, 1e-4, 1e-3});
  Electrode electrode = electrode_of(ElectrodeShape::disc);
  electrode.radius = 1e-3;
  electrode.contact_fraction = 0.4;
  electrode.spot_pitch = 3e-4;
  electrode.conductance = 321;
  const ContactGeometry geometry = contact_geometry(grid, electrode);
  REQUIRE(geometry.faces.size() == 1);
  TissueRows rows;
  rows.tissue.resize(1);
  rows.tissue[0].conductivity = 0.5;
  rows.tissue[0].conductivity_at = 37;
  rows.tissue[0].conductivity_per_C = 0.02;
  rows.of_row.assign(3, 0);
  std::vector<double> temperature(grid.cells(), 20.0), water(grid.cells(), 0.9);
  temperature[grid.index(0, 0)] = 60;  // mean over the interface 50 C
  temperature[grid.index(0, 1)] = 40;
  water[grid.index(0, 0)] = 0.2;  // mean 0.5
  water[grid.index(0, 1)] = 0.8;
  const std::vector<double> eschar{0.25};
  Physics physics;
  physics.spark_law = SparkLaw::area;
  physics.spark_conductance = 20;
  std::vector<ContactLaw> law(1);
  const double wet = 0.75 * 0.5, touching = 0.4 * wet;
  const double sigma = 0.5 * (1 + 0.02 * 13);
  const double spots = spots_conductance(0.4, 3e-4);

  electrode.contact = ContactKind::spots;
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].wet == Approx(wet).epsilon(1e-14));
  CHECK(law[0].base == Approx(wet * sigma * spots + 1e-3).epsilon(1e-13));
  CHECK(law[0].spark == Approx((1 - touching) * 20).epsilon(1e-14));
  physics.conductivity_rises = false;
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].base == Approx(wet * 0.5 * spots + 1e-3).epsilon(1e-13));
  physics.arcing = false;
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].spark == 0);
  physics.arcing = true;

  electrode.contact = ContactKind::gap;
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].base == 1e-3);
  CHECK(law[0].spark == 20);

  electrode.contact = ContactKind::conductance;
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].base == 321);
  CHECK(law[0].spark == 0);

  // All dry, and a hair below it: never a negative conductance, never none.
  electrode.contact = ContactKind::spots;
  std::fill(water.begin(), water.end(), -1e-12);
  contact_laws(geometry, electrode, physics, rows, temperature, water, eschar, law);
  CHECK(law[0].wet == 0);
  CHECK(law[0].base == 1e-3);
  CHECK(law[0].spark == 20);
}

TEST_CASE("strike voltage: the stated one, or the air gap's where it is higher") {
  Electrode electrode;
  Physics physics;
  physics.strike = 200;
  electrode.gap = 1e-3;
  CHECK(strike_voltage(electrode, physics) == 200);
  electrode.contact = ContactKind::gap;
  // 24.2 d + 6.08 sqrt(d) kV with d in cm at one atmosphere (engineering formula for uniform fields, from memory).
  CHECK(strike_voltage(electrode, physics) == Approx(4342.65).epsilon(1e-5));
  electrode.gap = 0;
  CHECK(strike_voltage(electrode, physics) == 200);
}

TEST_CASE("the field found at a current carries that current") {
  for (const double duty : {1.0, 0.5, 0.06}) {
    for (const double spread : {0.0, 0.2}) {
      const StrikingTable striking(duty == 1 ? Waveform{} : gated(duty), spread);
      for (const double base : {1e-3, 1.0, 400.0}) {
        for (const double extra : {0.0, 0.1, 20.0}) {
          double before = 0;
          for (double field = 1e-2; field < 1e4; field *= 1.37) {
            const double threshold = 100;
            const double current = (base + extra * striking(threshold / field)) * field;
            const double found = field_at_current(base, extra, threshold, striking, current);
            CAPTURE(duty, spread, base, extra, field);
            REQUIRE((base + extra * striking(threshold / found)) * found == Approx(current).epsilon(1e-11));
            REQUIRE(found == Approx(field).epsilon(1e-9));
            REQUIRE(found >= before);
            before = found;
          }
        }
      }
    }
  }
  const StrikingTable striking(Waveform{}, 0.2);
  CHECK(field_at_current(1, 20, 100, striking, 0) == 0);
  CHECK(field_at_current(2, 20, 100, striking, 8) == 4);  // far below striking: Ohm's law to the last bit
}

TEST_CASE("heat crosses the spots that touch, wet or dry, and the gaps between them") {
  const Grid grid({0, 1e-3, 2e-3}, {0, 5e-5, 1e-4, 1e-3});
  Electrode electrode = electrode_of(ElectrodeShape::disc);
  electrode.radius = 1e-3;
  electrode.contact = ContactKind::spots;
  electrode.contact_fraction = 0.3;
  electrode.spot_pitch = 2e-4;
  electrode.heat_transfer = 600;
  const ContactGeometry geometry = contact_geometry(grid, electrode);
  TissueRows rows;
  rows.tissue.resize(1);
  rows.tissue[0].conduction = 0.5;
  rows.tissue[0].dry_conduction = 0.2;
  rows.of_row.assign(3, 0);
  std::vector<double> film(1);
  const std::vector<double> temperature(grid.cells(), 60.0);
  const double spots = spots_conductance(0.3, 2e-4);
  contact_heat_transfer(geometry, electrode, rows, temperature, std::vector<double>(grid.cells(), 1.0), film);
  CHECK(film[0] == Approx(0.5 * spots + 0.7 * 600).epsilon(1e-13));
  contact_heat_transfer(geometry, electrode, rows, temperature, std::vector<double>(grid.cells(), 0.0), film);
  CHECK(film[0] == Approx(0.2 * spots + 0.7 * 600).epsilon(1e-13));
  electrode.contact = ContactKind::conductance;
  contact_heat_transfer(geometry, electrode, rows, temperature, std::vector<double>(grid.cells(), 1.0), film);
  CHECK(film[0] == 600);
  electrode.heat_transfer = 0;
  contact_heat_transfer(geometry, electrode, rows, temperature, std::vector<double>(grid.cells(), 1.0), film);
  CHECK(std::isinf(film[0]));
}

TEST_CASE("a face that touches everywhere is as good as perfect, one that hardly does is hardly there") {
  CHECK(spots_conductance(1, 3e-4) == Approx(1e6).epsilon(1e-12));
  for (const double pitch : {5e-5, 2e-4, 1e-3}) {
    double last = 0;
    for (double share = 0.01; share < 1; share += 0.01) {
      const double now = spots_conductance(share, pitch);
      REQUIRE((now > last || now > 0.999999 * 1e6));  // 1/(1 um) at most
      last = now;
    }
  }
  CHECK(spots_conductance(0.2, 1e-4) == Approx(2 * spots_conductance(0.2, 2e-4)).epsilon(1e-13));
}
