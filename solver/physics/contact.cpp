#include "physics/contact.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

#include "numerics/cut_cells.hpp"
#include "numerics/flux.hpp"
#include "physics/electrode_shape.hpp"

namespace dryfront {

namespace {

constexpr double rim_reach = 0.4;  // of the contact's width

// Calls visit(cell, taken, last) for the cells from a face on down to a depth, as far as the grid goes.
template <class Visit>
void for_each_below(const Grid& grid, const ContactFace& face, double depth, Visit visit) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  auto i = static_cast<int>(face.cell % columns), j = static_cast<int>(face.cell / columns);
  const auto exists = [&](int column, int row) {
    return column >= 0 && column < grid.columns() && row >= 0 && row < grid.rows();
  };
  double left = depth, size = face.first;
  bool last = false;
  while (!last) {
    const double taken = std::min(left, size);
    left -= taken;
    last = left <= 1e-9 * depth || !exists(i + face.di, j + face.dj);
    visit(grid.index(i, j), taken, last);
    i += face.di;
    j += face.dj;
    if (!last) size = face.di != 0 ? grid.width(i) : grid.height(j);
  }
}

class GeometryBuilder {
 public:
  GeometryBuilder(const Grid& grid, const Electrode& electrode) : grid_(grid), electrode_(electrode) {
    result_.is_metal.assign(grid.cells(), 0);
    result_.covered.assign(static_cast<std::size_t>(grid.columns()), 0);
  }

  ContactGeometry build() {
    if (is_flat(electrode_.shape)) {
      flat();
    } else {
      solid();
    }
    if (result_.faces.empty()) throw std::invalid_argument("the electrode touches no cell of the grid");
    for (const ContactFace& face : result_.faces) result_.area += face.area;
    free_surface();
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
      result_.faces.push_back(surface_face(i));
      result_.faces.back().rim_factor = result_.rim.half_cell[static_cast<std::size_t>(i)];
    }
  }

  void solid() {
    const CutBody metal = metal_body(electrode_);
    for (int i = 0; i < grid_.columns(); ++i) {
      result_.covered[static_cast<std::size_t>(i)] = metal.inside(grid_.r()[static_cast<std::size_t>(i)], 0);
    }
    for (int j = 0; j < grid_.rows(); ++j) {
      for (int i = 0; i < grid_.columns(); ++i) {
        if (!metal.inside(grid_.r()[static_cast<std::size_t>(i)], grid_.z()[static_cast<std::size_t>(j)])) continue;
        result_.is_metal[grid_.index(i, j)] = 1;
        result_.metal.push_back(grid_.index(i, j));
      }
    }
    double sum = 0;
    for (const CutLink& link : cut_links(grid_, metal)) {
      result_.faces.push_back(new_face(link));
      sum += link.surface;
    }
    const double whole = face_area(electrode_, {grid_.symmetry(), grid_.length()});
    for (ContactFace& face : result_.faces) face.area *= whole / sum;
  }

  // Columns that are not covered, from where a covered one ends outwards and from where one begins inwards.
  void free_surface() {
    const std::vector<unsigned char>& covered = result_.covered;
    const int columns = grid_.columns();
    for (int i = 1; i < columns; ++i) {
      const auto here = static_cast<std::size_t>(i);
      if (covered[here - 1] != 0 && covered[here] == 0) free_surface_from(i, 1);
      if (covered[here - 1] == 0 && covered[here] != 0) free_surface_from(i - 1, -1);
    }
  }

  void free_surface_from(int begin, int step) {
    const auto radius = [this](int face) { return grid_.r_face()[static_cast<std::size_t>(face)]; };
    const int outer = step > 0 ? 0 : 1;  // of a cell's two radii, the one towards the contact
    const double edge = radius(begin + outer);
    const std::size_t touching = touching_face(begin, begin - step);
    for (int i = begin; i >= 0 && i < grid_.columns() && result_.covered[static_cast<std::size_t>(i)] == 0; i += step) {
      FreeSurfaceCell cell;
      cell.face = surface_face(i);
      cell.near = std::abs(radius(i + outer) - edge);
      cell.middle = std::abs(grid_.r()[static_cast<std::size_t>(i)] - edge);
      cell.far = std::abs(radius(i + 1 - outer) - edge);
      cell.first = i == begin;
      cell.touching = touching;
      result_.free_surface.push_back(cell);
    }
  }

  // The face beside a first free cell: the metal's wall against that cell, or the last cell below a flat face.
  std::size_t touching_face(int free, int last) const {
    const auto at_edge = [&](const ContactFace& face) {
      return face.cell == grid_.index(face.di != 0 ? free : last, 0);
    };
    const auto found = std::find_if(result_.faces.begin(), result_.faces.end(), at_edge);
    assert(found != result_.faces.end());
    return static_cast<std::size_t>(found - result_.faces.begin());
  }

  // On the surface z = 0 of a column.
  ContactFace surface_face(int i) {
    const double half_cell = axial_half_conductance(grid_, 1.0, i, 0);
    return new_face({i, 0, 0, 1, 0.5 * grid_.height(0), half_cell, grid_.axial_area(i)});
  }

  ContactFace new_face(const CutLink& link) {
    ContactFace face;
    face.cell = grid_.index(link.i, link.j);
    face.row = static_cast<std::size_t>(link.j);
    face.area = link.surface;
    face.di = link.di;
    face.dj = link.dj;
    face.first = link.distance + 0.5 * (link.di != 0 ? grid_.width(link.i) : grid_.height(link.j));
    face.half_cell = link.half_cell;
    face.to_middle = link.half_cell * link.distance / (0.5 * face.first);
    face.interface = below(face, electrode_.interface_depth);
    if (electrode_.contact == ContactKind::spots) {
      const double spot_radius = electrode_.spot_pitch * std::sqrt(electrode_.contact_fraction / std::numbers::pi);
      face.constriction = below(face, std::max(spot_radius, face.first));
    } else {
      face.constriction = face.interface;
    }
    return face;
  }

  // The cells below a face down to `depth` and their shares of it.
  ContactFace::Range below(const ContactFace& face, double depth) {
    ContactFace::Range range{result_.below.size(), 0};
    double total = 0;
    for_each_below(grid_, face, depth, [&](std::size_t cell, double taken, bool) {
      result_.below.push_back({cell, taken});
      total += taken;
    });
    range.end = result_.below.size();
    for (std::size_t k = range.begin; k < range.end; ++k) result_.below[k].share /= total;
    return range;
  }

  const Grid& grid_;
  const Electrode& electrode_;
  ContactGeometry result_;
};

}  // namespace

ContactGeometry contact_geometry(const Grid& grid, const Electrode& electrode) {
  return GeometryBuilder(grid, electrode).build();
}

double mean_below(const ContactGeometry& geometry, const ContactFace::Range& range, std::span<const double> values) {
  double sum = 0;
  for (std::size_t k = range.begin; k < range.end; ++k) sum += geometry.below[k].share * values[geometry.below[k].cell];
  return sum;
}

void add_below(const Grid& grid, const ContactFace& face, double depth, double power, std::span<double> heating) {
  double left = depth;
  for_each_below(grid, face, depth, [&](std::size_t cell, double taken, bool last) {
    heating[cell] += power * (last ? left : taken) / depth;
    left -= taken;
  });
}

double constriction_factor(double eps) {
  const double series = 1 + eps * (0.595369 + eps * (0.115546 + eps * (0.389497 + eps * (-0.432240 + eps * 0.329302))));
  return (1 - eps) * (1 - eps) * series;
}

double spots_conductance(double contact_fraction, double pitch) {
  constexpr double least_distance = 1e-6;  // [m]
  const double eps = std::sqrt(contact_fraction);
  const double narrowing = std::sqrt(std::numbers::pi) * pitch * constriction_factor(eps);
  return 4 * eps / std::max(narrowing, 4 * eps * least_distance);
}

void contact_laws(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                  const TissueRows& rows, std::span<const double> temperature, std::span<const double> water,
                  std::span<const double> eschar, std::span<ContactLaw> laws) {
  const bool by_area = physics.arcing && physics.spark_law == SparkLaw::area;
  const double spark = by_area ? physics.spark_conductance : 0.0;
  const double spots = spots_conductance(electrode.contact_fraction, electrode.spot_pitch);
  for (std::size_t f = 0; f < geometry.faces.size(); ++f) {
    const ContactFace& face = geometry.faces[f];
    ContactLaw& law = laws[f];
    law.wet = (1 - eschar[f]) * std::clamp(mean_below(geometry, face.interface, water), 0.0, 1.0);
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
        const double at_face = mean_below(geometry, face.interface, temperature);
        const double wet_tissue = conductivity(rows.at(face.row), at_face, 1.0, physics.conductivity_rises);
        law.base = law.wet * wet_tissue * spots + physics.leak_conductance;
        law.spark = (1 - electrode.contact_fraction * law.wet) * spark;
        break;
      }
      case ContactKind::gap:
        law.base = physics.leak_conductance;
        law.spark = spark;
        break;
    }
  }
}

double root_conductivity(const ContactGeometry& geometry, const ContactFace::Range& interface, const Physics& physics,
                         std::span<const double> conductivity, std::span<const double> breakdown,
                         const StrikingTable& striking) {
  const double base = mean_below(geometry, interface, conductivity);
  const double extra = breakdown.empty() ? 0.0 : mean_below(geometry, interface, breakdown);
  return physics.spark_density /
         field_at_current(base, extra, physics.breakdown_field, striking, physics.spark_density);
}

void spark_landing(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                   std::span<const ContactLaw> laws, std::span<const double> conductivity,
                   std::span<const double> breakdown, const StrikingTable& striking, SparkGap& gap) {
  const double touching = electrode.contact == ContactKind::gap ? 0.0 : electrode.contact_fraction;
  gap.share.resize(geometry.faces.size());
  double dry_area = 0, sum = 0;
  for (std::size_t f = 0; f < geometry.faces.size(); ++f) {
    const ContactFace& face = geometry.faces[f];
    const double dry = (1 - touching * laws[f].wet) * face.area;
    gap.share[f] = dry * root_conductivity(geometry, face.interface, physics, conductivity, breakdown, striking);
    dry_area += dry;
    sum += gap.share[f];
  }
  gap.root_conductivity = dry_area > 0 ? sum / dry_area : 0;
  for (double& share : gap.share) share = sum > 0 ? share / sum : 1.0 / static_cast<double>(gap.share.size());
}

void contact_heat_transfer(const ContactGeometry& geometry, const Electrode& electrode, const TissueRows& rows,
                           std::span<const double> temperature, std::span<const double> water,
                           std::span<double> heat_transfer) {
  const bool ideal = electrode.heat_transfer <= 0;
  const double spots = spots_conductance(electrode.contact_fraction, electrode.spot_pitch);
  for (std::size_t f = 0; f < geometry.faces.size(); ++f) {
    const ContactFace& face = geometry.faces[f];
    if (ideal) {
      heat_transfer[f] = std::numeric_limits<double>::infinity();
    } else if (electrode.contact == ContactKind::spots) {
      const double at_face = mean_below(geometry, face.interface, temperature);
      const double water_left = std::clamp(mean_below(geometry, face.interface, water), 0.0, 1.0);
      heat_transfer[f] = thermal_conductivity(rows.at(face.row), at_face, water_left) * spots +
                         (1 - electrode.contact_fraction) * electrode.heat_transfer;
    } else {
      heat_transfer[f] = electrode.heat_transfer;
    }
  }
}

double air_strike(double gap, double gas_temperature) {
  const double at_20 = 100 * gap * (293 / (gas_temperature + 273));  // delta d [cm]
  return 1000 * (24.2 * at_20 + 6.08 * std::sqrt(at_20));
}

double strike_voltage(const Electrode& electrode, const Physics& physics) {
  if (electrode.contact != ContactKind::gap) return physics.strike;
  return std::max(physics.strike, air_strike(electrode.gap, 20));
}

double spark_drop(const Physics& physics, double strike) {
  return std::min(physics.spark_drop, 0.9 * (1 - physics.strike_spread) * strike);
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
