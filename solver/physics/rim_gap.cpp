#include "physics/rim_gap.hpp"

#include <algorithm>
#include <cmath>

#include "physics/electrode_shape.hpp"

namespace dryfront {

namespace {

double square(double x) { return x * x; }

// theta of the free surface above a cell.
double surface_open(const Grid& grid, std::size_t cell, std::span<const double> potential) {
  const double top = potential[cell];
  if (grid.rows() < 2) return 1 - top;
  const double z = square(grid.z()[0]), next = square(grid.z()[1]);
  const double below = potential[cell + static_cast<std::size_t>(grid.columns())];
  return 1 - (top - (below - top) * z / (next - z));
}

// The gap at which air strikes at a voltage: air_strike, a quadratic in sqrt(delta d), turned round   [m]
double gap_at_strike(double voltage, double gas_temperature) {
  const double root = 2 * voltage / 1000 / (6.08 + std::sqrt(6.08 * 6.08 + 4 * 24.2 * voltage / 1000));
  return 0.01 * root * root * (gas_temperature + 273) / 293;
}

// How often a gap strikes before one of a greater ratio.
double chance_against(double ratio, double greater, double spread) {
  if (ratio <= 0) return 0;
  const double s = std::max(spread, 1e-4), k = greater / ratio;
  const double bracket = std::max(0.0, 1 + s - k * (1 - s));
  return bracket * bracket / (8 * k * s * s);
}

struct Node {
  double distance, open;  // [m], theta
};

// theta between two nodes.
double open_between(const Node& a, const Node& b, double distance) {
  const double share = std::clamp((distance - a.distance) / (b.distance - a.distance), 0.0, 1.0);
  return std::sqrt(std::max(0.0, square(a.open) + share * (square(b.open) - square(a.open))));
}

// The best place of one cell.
FirstStrike strike_in(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                      std::span<const double> potential, std::span<const double> face_open, std::size_t k) {
  const std::vector<FreeSurfaceCell>& surface = geometry.free_surface;
  const FreeSurfaceCell& cell = surface[k];
  const double temperature = rim.temperature[cell.face.cell];
  const double kink = profile_distance(*rim.electrode, gap_at_strike(rim.least_strike, temperature));
  const double place = std::clamp(kink, cell.near, cell.far);
  const auto centre = [&](std::size_t at) {
    return Node{surface[at].middle, surface_open(grid, surface[at].face.cell, potential)};
  };
  const Node here = centre(k);
  double open = here.open;
  if (place < here.distance) {
    const double at_edge = face_open.empty() ? 0.0 : face_open[cell.touching];
    open = open_between(cell.first ? Node{0, at_edge} : centre(k - 1), here, place);
  } else if (k + 1 < surface.size() && !surface[k + 1].first) {
    open = open_between(here, centre(k + 1), place);
  }
  const double air = air_strike(profile_gap(*rim.electrode, place), temperature);
  return {open / std::max(rim.least_strike, air), place, k};
}

// Adds to `landed`, per cell, a weight spread over the free surface from a place outwards, by area and sigma_root.
void land_from(const ContactGeometry& geometry, const RimGap& rim, const FirstStrike& from, double weight,
               std::span<double> landed) {
  const std::vector<FreeSurfaceCell>& surface = geometry.free_surface;
  const auto area = [&](std::size_t k) {
    const FreeSurfaceCell& cell = surface[k];
    const double covered = std::min(from.distance + rim.width, cell.far) - std::max(from.distance, cell.near);
    return std::max(0.0, covered) / (cell.far - cell.near) * cell.face.area;
  };
  const auto within = [&](std::size_t k) {  // the cells of one edge follow each other outwards
    return k < surface.size() && (k == from.cell || !surface[k].first) && surface[k].near < from.distance + rim.width;
  };
  double whole = 0;
  for (std::size_t k = from.cell; within(k); ++k) whole += area(k);
  if (whole <= 0) return;
  for (std::size_t k = from.cell; within(k); ++k) landed[k] += weight * area(k) / whole * rim.root_conductivity[k];
}

}  // namespace

void find_roots(const ContactGeometry& geometry, const Physics& physics, std::span<const double> conductivity,
                std::span<const double> breakdown, const StrikingTable& striking, RimGap& rim) {
  rim.root_conductivity.resize(geometry.free_surface.size());
  for (std::size_t k = 0; k < geometry.free_surface.size(); ++k) {
    rim.root_conductivity[k] = root_conductivity(geometry, geometry.free_surface[k].face.interface, physics,
                                                 conductivity, breakdown, striking);
  }
}

FirstStrike first_strike(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                         std::span<const double> potential, std::span<const double> face_open) {
  FirstStrike first;
  for (std::size_t k = 0; k < geometry.free_surface.size(); ++k) {
    const FirstStrike here = strike_in(grid, geometry, rim, potential, face_open, k);
    if (here.ratio > first.ratio) first = here;
  }
  return first;
}

double share_of_first(double ratio, double other, double spread) {
  if (ratio <= 0) return 0;
  if (other <= 0) return 1;
  return ratio >= other ? 1 - chance_against(other, ratio, spread) : chance_against(ratio, other, spread);
}

double land_beside(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                   std::span<const double> potential, std::span<const double> face_open, double open, SparkGap& gap) {
  const std::vector<FreeSurfaceCell>& surface = geometry.free_surface;
  gap.beside.assign(surface.size(), 0.0);
  const FirstStrike first = first_strike(grid, geometry, rim, potential, face_open);
  const double under = open / gap.strike;
  const double share = share_of_first(first.ratio, under, rim.strike_spread);
  if (share <= 0) return open;

  double all = 0, weight = 0;
  for (std::size_t k = 0; k < surface.size(); ++k) {
    const FirstStrike here = strike_in(grid, geometry, rim, potential, face_open, k);
    const double chance = surface[k].face.area * chance_against(here.ratio, first.ratio, rim.strike_spread);
    if (chance <= 0) continue;
    land_from(geometry, rim, here, chance, gap.beside);
    all += chance;
  }
  for (const double landed : gap.beside) weight += landed;
  if (weight <= 0) return open;
  double open_beside = 0;
  for (std::size_t k = 0; k < surface.size(); ++k) {
    gap.beside[k] *= share / weight;
    open_beside += gap.beside[k] * (1 - potential[surface[k].face.cell]);
  }
  for (double& under_face : gap.share) under_face *= 1 - share;
  gap.root_conductivity = share * weight / all + (1 - share) * gap.root_conductivity;
  const double both = open_beside + (1 - share) * open;
  gap.strike = both / std::max(first.ratio, under);
  gap.drop = std::min(rim.drop, 0.9 * (1 - rim.strike_spread) * gap.strike);
  return both;
}

}  // namespace dryfront
