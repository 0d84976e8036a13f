#include "physics/electrode_shape.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>

namespace dryfront {

namespace {

constexpr double pi = std::numbers::pi;

// Radius at which the sphere of a dome leaves the tissue [m]
double dome_reach(const Electrode& electrode) {
  return std::sqrt(electrode.press * (2 * electrode.radius - electrode.press));
}

// The sphere of a dome from one angle to another, both from its lowest point.
ProfileLine dome_arc(const Electrode& electrode, double from, double to) {
  constexpr int parts = 60;
  ProfileLine line;
  for (int k = 0; k <= parts; ++k) {
    const double angle = from + (to - from) * k / parts;
    line.r.push_back(electrode.radius * std::sin(angle));
    line.z.push_back(electrode.press - electrode.radius * (1 - std::cos(angle)));
  }
  return line;
}

// From the end of a flat face around its edge; one point where that is sharp.
ProfileLine rounded_edge(const Electrode& electrode) {
  const double rho = electrode.edge_radius;
  ProfileLine line{{electrode.radius}, {0}};
  if (rho <= 0) return line;
  constexpr int parts = 16;
  for (int k = 1; k <= parts; ++k) {
    const double angle = pi / 2 * k / parts;
    line.r.push_back(electrode.radius + rho * std::sin(angle));
    line.z.push_back(-rho * (1 - std::cos(angle)));
  }
  return line;
}

double dome_angle(const Electrode& electrode) { return std::acos(1 - electrode.press / electrode.radius); }

// Of both sides of the plane, over its length [m]
double face_perimeter(const Electrode& electrode) {
  const double a = electrode.radius;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
      return 2 * a;
    case ElectrodeShape::ring:
      return 2 * (a - electrode.inner_radius);
    case ElectrodeShape::dome:
      return 2 * a * dome_angle(electrode);
    case ElectrodeShape::rod:
      return 2 * (a + electrode.length);
  }
  assert(false);
  return 0;
}

// Section of the piece of metal, both sides of the plane [m2]
double metal_section(const Electrode& electrode) {
  const double a = electrode.radius;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      return face_perimeter(electrode) * plate_thickness;
    case ElectrodeShape::dome:
      return pi * a * a;
    case ElectrodeShape::rod:
      return 2 * a * electrode.length;
  }
  assert(false);
  return 0;
}

}  // namespace

bool is_flat(ElectrodeShape shape) {
  switch (shape) {
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      return true;
    case ElectrodeShape::dome:
    case ElectrodeShape::rod:
      return false;
  }
  assert(false);
  return false;
}

bool inside_metal(const Electrode& electrode, double r, double z) {
  switch (electrode.shape) {
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      return false;
    case ElectrodeShape::dome: {
      const double from_centre = z - (electrode.press - electrode.radius);
      return r * r + from_centre * from_centre < electrode.radius * electrode.radius;
    }
    case ElectrodeShape::rod:
      return r < electrode.radius && z < electrode.length;
  }
  assert(false);
  return false;
}

CutBody metal_body(const Electrode& electrode) {
  const double a = electrode.radius, length = electrode.length, centre = electrode.press - a;
  const auto inside = [electrode](double r, double z) { return inside_metal(electrode, r, z); };
  switch (electrode.shape) {
    case ElectrodeShape::dome:
      return {inside, [=](double z) { return std::sqrt(std::max(0.0, a * a - (z - centre) * (z - centre))); },
              [=](double r) { return centre + std::sqrt(std::max(0.0, (a - r) * (a + r))); },
              [=](double r, double) { return std::min(1.0, r / a); }};
    case ElectrodeShape::rod:
      return {inside, [=](double z) { return z < length ? a : 0.0; }, [=](double r) { return r < a ? length : 0.0; },
              [=](double r, double) { return r < a ? 0.0 : 1.0; }};
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      break;
  }
  assert(false);
  return {};
}

Grid without_metal(Grid grid, const Electrode& electrode) {
  if (!is_flat(electrode.shape)) grid.set_volume_shares(volume_shares(grid, metal_body(electrode)));
  return grid;
}

std::vector<double> tissue_begins(const Grid& grid, const Electrode& electrode) {
  std::vector<double> begins(grid.r().size(), 0.0);
  if (is_flat(electrode.shape)) return begins;
  const CutBody metal = metal_body(electrode);
  for (std::size_t i = 0; i < begins.size(); ++i) {
    if (metal.inside(grid.r()[i], 0)) begins[i] = metal.depth_at(grid.r()[i]);
  }
  return begins;
}

std::vector<std::pair<std::string_view, double>> electrode_sizes(const Electrode& electrode, Symmetry symmetry) {
  const bool plane = symmetry == Symmetry::plane;
  const std::string_view across = plane ? "half width" : "radius";
  switch (electrode.shape) {
    case ElectrodeShape::disc:
      return {{across, electrode.radius}};
    case ElectrodeShape::ring:
      return {{across, electrode.radius}, {plane ? "inner half width" : "inner radius", electrode.inner_radius}};
    case ElectrodeShape::dome:
      return {{"radius", electrode.radius}, {"pressed in", electrode.press}};
    case ElectrodeShape::rod:
      return {{across, electrode.radius}, {plane ? "inserted" : "length", electrode.length}};
  }
  assert(false);
  return {};
}

ProfileLine face_line(const Electrode& electrode) {
  const double a = electrode.radius;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
      return {{0, a}, {0, 0}};
    case ElectrodeShape::ring:
      return {{electrode.inner_radius, a}, {0, 0}};
    case ElectrodeShape::dome:
      return dome_arc(electrode, 0, dome_angle(electrode));
    case ElectrodeShape::rod:
      return {{0, a, a}, {electrode.length, electrode.length, 0}};
  }
  assert(false);
  return {};
}

ProfileLine side_line(const Electrode& electrode) {
  switch (electrode.shape) {
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      return rounded_edge(electrode);
    case ElectrodeShape::rod:
      return {{electrode.radius}, {0}};
    case ElectrodeShape::dome:
      return dome_arc(electrode, dome_angle(electrode), pi / 2);
  }
  assert(false);
  return {};
}

double profile_gap(const Electrode& electrode, double distance) {
  if (electrode.shape == ElectrodeShape::dome) {
    const double r = dome_reach(electrode) + distance, radius = electrode.radius;
    if (r > radius) return std::numeric_limits<double>::infinity();
    return std::max(0.0, radius - electrode.press - std::sqrt((radius - r) * (radius + r)));
  }
  const double rho = is_flat(electrode.shape) ? electrode.edge_radius : 0.0;
  if (distance >= rho) return rho + pi / 2 * (distance - rho);
  return distance * distance / (rho + std::sqrt((rho - distance) * (rho + distance)));
}

double profile_distance(const Electrode& electrode, double gap) {
  if (electrode.shape == ElectrodeShape::dome) {
    const double radius = electrode.radius, below_centre = std::max(0.0, radius - electrode.press - gap);
    return std::sqrt((radius - below_centre) * (radius + below_centre)) - dome_reach(electrode);
  }
  const double rho = is_flat(electrode.shape) ? electrode.edge_radius : 0.0;
  if (gap >= rho) return rho + 2 / pi * (gap - rho);
  return std::sqrt(gap * (2 * rho - gap));
}

double face_area(const Electrode& electrode, const ThirdDirection& third) {
  const double a = electrode.radius;
  if (third.symmetry == Symmetry::plane) return face_perimeter(electrode) * third.length;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
      return pi * a * a;
    case ElectrodeShape::ring:
      return pi * (a * a - electrode.inner_radius * electrode.inner_radius);
    case ElectrodeShape::dome:
      return 2 * pi * a * electrode.press;
    case ElectrodeShape::rod:
      return pi * a * a + 2 * pi * a * electrode.length;
  }
  assert(false);
  return 0;
}

double metal_volume(const Electrode& electrode, const ThirdDirection& third) {
  const double a = electrode.radius;
  if (third.symmetry == Symmetry::plane) return metal_section(electrode) * third.length;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
    case ElectrodeShape::ring:
      return face_area(electrode, third) * plate_thickness;
    case ElectrodeShape::dome:
      return 4.0 / 3.0 * pi * a * a * a;
    case ElectrodeShape::rod:
      return pi * a * a * electrode.length;
  }
  assert(false);
  return 0;
}

double metal_heat_capacity(const Electrode& electrode, const ThirdDirection& third) {
  constexpr double steel = 7900 * 500.0;  // [J/(m3 K)]
  constexpr double shaft_radius = 1.2e-3, shaft_length = 0.01;
  return steel * (metal_volume(electrode, third) + pi * shaft_radius * shaft_radius * shaft_length);
}

double heat_capacity(const Electrode& electrode, const ThirdDirection& third) {
  return electrode.capacity > 0 ? electrode.capacity : metal_heat_capacity(electrode, third);
}

ElectrodeMarks electrode_marks(const Electrode& electrode) {
  const double radius = electrode.radius, inner = electrode.inner_radius, length = electrode.length;
  switch (electrode.shape) {
    case ElectrodeShape::disc:
      return {{radius}, {radius}, {}, {}, {radius}, {0}};
    case ElectrodeShape::ring:
      return {{inner, radius}, {inner, radius}, {}, {}, {inner, radius}, {0}};
    case ElectrodeShape::rod:
      return {{radius}, {radius}, {length}, {length}, {radius}, {0, length}};
    case ElectrodeShape::dome: {
      // The sphere's surface crosses the grid everywhere below the press, so the marks lie close there.
      const double reach = dome_reach(electrode);
      constexpr int close = 16;
      ElectrodeMarks marks{{reach}, {}, {}, {}, {reach}, {0}};
      for (int k = 0; k <= close; ++k) marks.r_marks.push_back(reach * k / close);
      for (int k = 1; k <= close; ++k) marks.z_marks.push_back(electrode.press * k / close);
      return marks;
    }
  }
  assert(false);
  return {};
}

}  // namespace dryfront
