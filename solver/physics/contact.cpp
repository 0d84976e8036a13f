#include "physics/contact.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "numerics/flux.hpp"

namespace dryfront {

namespace {

constexpr double rim_reach = 0.4;  // of the contact's width

bool inside_metal(const Electrode& electrode, double r, double z) {
  if (electrode.shape == ElectrodeShape::rod) return r < electrode.radius && z < electrode.length;
  if (electrode.shape == ElectrodeShape::dome) {
    const double centre = electrode.press - electrode.radius;
    return r * r + (z - centre) * (z - centre) < electrode.radius * electrode.radius;
  }
  return false;
}

// The smooth contact area, to which a stepped one is scaled [m2].
double smooth_area(const Electrode& electrode) {
  constexpr double pi = std::numbers::pi;
  const double a = electrode.radius;
  if (electrode.shape == ElectrodeShape::rod) return pi * a * a + 2 * pi * a * electrode.length;
  return 2 * pi * a * electrode.press;  // spherical cap
}

class GeometryBuilder {
 public:
  GeometryBuilder(const Grid& grid, const Electrode& electrode) : grid_(grid), electrode_(electrode) {
    result_.is_metal.assign(grid.cells(), 0);
    result_.covered.assign(static_cast<std::size_t>(grid.columns()), 0);
  }

  ContactGeometry build() {
    if (electrode_.shape == ElectrodeShape::disc || electrode_.shape == ElectrodeShape::ring) {
      flat();
    } else {
      solid();
    }
    if (result_.faces.empty()) throw std::invalid_argument("the electrode touches no cell of the grid");
    for (const ContactFace& face : result_.faces) result_.area += face.area;
    return std::move(result_);
  }

 private:
  void flat() {
    const double inner = electrode_.shape == ElectrodeShape::ring ? electrode_.inner_radius : 0.0;
    result_.rim.half_cell.assign(static_cast<std::size_t>(grid_.columns()), 1.0);
    // A face that covers the whole surface has no rim; beyond the wall's distance the wall would be felt.
    const double to_wall = grid_.r_face().back() - electrode_.radius;
    const double reach = std::min(rim_reach * (electrode_.radius - inner), to_wall);
    if (to_wall > 0) add_rim(grid_, electrode_.radius, true, reach, result_.rim);
    if (inner > 0) add_rim(grid_, inner, false, reach, result_.rim);
    for (int i = 0; i < grid_.columns(); ++i) {
      const double r = grid_.r()[static_cast<std::size_t>(i)];
      if (r < inner || r > electrode_.radius) continue;
      result_.covered[static_cast<std::size_t>(i)] = 1;
      add(i, 0, grid_.axial_area(i), axial_half_conductance(grid_, 1.0, i, 0), 0, 1);
      result_.faces.back().rim_factor = result_.rim.half_cell[static_cast<std::size_t>(i)];
    }
  }

  void solid() {
    for (int j = 0; j < grid_.rows(); ++j) {
      for (int i = 0; i < grid_.columns(); ++i) {
        if (!inside_metal(electrode_, grid_.r()[static_cast<std::size_t>(i)], grid_.z()[static_cast<std::size_t>(j)]))
          continue;
        result_.is_metal[grid_.index(i, j)] = 1;
        result_.metal.push_back(grid_.index(i, j));
        if (j == 0) result_.covered[static_cast<std::size_t>(i)] = 1;
      }
    }
    const auto metal = [&](int i, int j) { return result_.is_metal[grid_.index(i, j)] != 0; };
    for (int j = 0; j < grid_.rows(); ++j) {
      for (int i = 0; i < grid_.columns(); ++i) {
        if (metal(i, j)) continue;
        if (j > 0 && metal(i, j - 1)) add(i, j, grid_.axial_area(i), axial_half_conductance(grid_, 1.0, i, j), 0, 1);
        if (i > 0 && metal(i - 1, j)) {
          add(i, j, grid_.radial_area(i, j), radial_half_conductance(grid_, 1.0, i, i, j), 1, 0);
        }
      }
    }
    double stepped = 0;
    for (const ContactFace& face : result_.faces) stepped += face.area;
    for (ContactFace& face : result_.faces) face.area *= smooth_area(electrode_) / stepped;
  }

  // A face of cell (i, j); the interface runs from it in the direction (di, dj).
  void add(int i, int j, double area, double half_cell, int di, int dj) {
    ContactFace face;
    face.cell = grid_.index(i, j);
    face.row = static_cast<std::size_t>(j);
    face.area = area;
    face.half_cell = half_cell;
    face.interface_begin = result_.interface.size();
    double left = electrode_.interface_depth;
    while (left > 0 && i < grid_.columns() && j < grid_.rows()) {
      const double thickness = di > 0 ? grid_.width(i) : grid_.height(j);
      const double taken = std::min(left, thickness);
      result_.interface.push_back({grid_.index(i, j), taken});
      left -= taken;
      if (left < 1e-9 * electrode_.interface_depth) break;
      i += di;
      j += dj;
    }
    face.interface_end = result_.interface.size();
    double total = 0;
    for (std::size_t k = face.interface_begin; k < face.interface_end; ++k) total += result_.interface[k].share;
    for (std::size_t k = face.interface_begin; k < face.interface_end; ++k) result_.interface[k].share /= total;
    result_.faces.push_back(face);
  }

  const Grid& grid_;
  const Electrode& electrode_;
  ContactGeometry result_;
};

}  // namespace

ContactGeometry contact_geometry(const Grid& grid, const Electrode& electrode) {
  return GeometryBuilder(grid, electrode).build();
}

void contact_laws(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                  const TissueRows& rows, std::span<const double> temperature, std::span<const double> water,
                  std::span<const double> eschar, std::span<ContactLaw> laws) {
  const double spark = physics.arcing ? physics.spark_conductance : 0.0;
  for (std::size_t f = 0; f < geometry.faces.size(); ++f) {
    const ContactFace& face = geometry.faces[f];
    double interface_water = 0;
    double interface_temperature = 0;
    for (std::size_t k = face.interface_begin; k < face.interface_end; ++k) {
      interface_water += geometry.interface[k].share * std::max(0.0, water[geometry.interface[k].cell]);
      interface_temperature += geometry.interface[k].share * temperature[geometry.interface[k].cell];
    }
    ContactLaw& law = laws[f];
    law.wet = (1 - eschar[f]) * interface_water;
    switch (electrode.contact) {
      case ContactKind::perfect:
        law.base = 0;
        law.spark = 0;
        break;
      case ContactKind::conductance:
        law.base = electrode.conductance;
        law.spark = 0;
        break;
      case ContactKind::spots: {
        const double touching = electrode.contact_fraction * law.wet;
        const double wet_tissue =
            conductivity(rows.at(face.row), interface_temperature, 1.0, physics.conductivity_rises);
        law.base = touching * wet_tissue / electrode.constriction + physics.leak_conductance;
        law.spark = (1 - touching) * spark;
        break;
      }
      case ContactKind::gap:
        law.base = physics.leak_conductance;
        law.spark = spark;
        break;
    }
  }
}

double strike_voltage(const Electrode& electrode, const Physics& physics) {
  if (electrode.contact != ContactKind::gap) return physics.strike;
  const double gap_cm = 100 * electrode.gap;
  return std::max(physics.strike, 1000 * (24.2 * gap_cm + 6.08 * std::sqrt(gap_cm)));
}

double field_at_current(double base, double extra, double threshold, const StrikingTable& striking, double current) {
  if (current <= 0) return 0;
  double most = current / base;
  if (extra <= 0 || threshold >= striking.never() * most) return most;  // does not strike even without sparks
  double least = current / (base + extra);
  double field = 0.5 * (least + most);
  for (int k = 0; k < 100 && most - least > 1e-14 * most; ++k) {
    const double x = threshold / field;
    const double conductance = base + extra * striking(x);
    const double excess = conductance * field - current;
    if (excess > 0) {
      most = field;
    } else {
      least = field;
    }
    const double slope = conductance - extra * striking.slope(x) * x;
    const double newton = field - excess / slope;
    const double next = newton > least && newton < most ? newton : 0.5 * (least + most);
    if (std::abs(next - field) <= 1e-15 * field) return next;
    field = next;
  }
  return field;
}

}  // namespace dryfront
