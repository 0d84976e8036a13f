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

struct Node {
  double distance, open;  // [m], theta
};

// theta between two nodes.
double open_between(const Node& a, const Node& b, double distance) {
  const double share = std::clamp((distance - a.distance) / (b.distance - a.distance), 0.0, 1.0);
  return std::sqrt(std::max(0.0, square(a.open) + share * (square(b.open) - square(a.open))));
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
  const std::vector<FreeSurfaceCell>& surface = geometry.free_surface;
  Node before{0, 0}, here{0, 0};
  for (std::size_t k = 0; k < surface.size(); ++k) {
    const FreeSurfaceCell& cell = surface[k];
    if (cell.first) here = {0, face_open.empty() ? 0.0 : face_open[cell.touching]};
    before = here;
    here = {cell.middle, surface_open(grid, cell.face.cell, potential)};
    const double temperature = rim.temperature[cell.face.cell];
    const double kink = profile_distance(*rim.electrode, gap_at_strike(rim.least_strike, temperature));
    const double place = std::clamp(kink, cell.near, cell.far);
    const bool last = k + 1 == surface.size() || surface[k + 1].first;
    double open = here.open;
    if (place < here.distance) {
      open = open_between(before, here, place);
    } else if (!last) {
      const Node next{surface[k + 1].middle, surface_open(grid, surface[k + 1].face.cell, potential)};
      open = open_between(here, next, place);
    }
    const double air = air_strike(profile_gap(*rim.electrode, place), temperature);
    const double ratio = open / std::max(rim.least_strike, air);
    if (ratio > first.ratio) first = {ratio, place, k};
  }
  return first;
}

double share_of_first(double ratio, double other, double spread) {
  if (ratio <= 0) return 0;
  if (other <= 0) return 1;
  const double s = std::max(spread, 1e-4);
  const double k = std::max(ratio / other, other / ratio);
  const double bracket = std::max(0.0, 1 + s - k * (1 - s));
  const double greater = 1 - bracket * bracket / (8 * k * s * s);
  return ratio >= other ? greater : 1 - greater;
}

double land_beside(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                   std::span<const double> potential, std::span<const double> face_open, double open, SparkGap& gap) {
  const std::vector<FreeSurfaceCell>& surface = geometry.free_surface;
  gap.beside.assign(surface.size(), 0.0);
  const FirstStrike first = first_strike(grid, geometry, rim, potential, face_open);
  const double under = open / gap.strike;
  const double share = share_of_first(first.ratio, under, rim.strike_spread);
  if (share <= 0) return open;

  // The cells of one edge follow each other, those towards the contact first.
  const double end = first.distance + rim.width;
  double area = 0, weight = 0;
  for (std::size_t k = first.cell; k < surface.size() && (k == first.cell || !surface[k].first); ++k) {
    const FreeSurfaceCell& cell = surface[k];
    const double covered = std::min(end, cell.far) - std::max(first.distance, cell.near);
    if (covered <= 0) continue;
    const double landed = cell.face.area * covered / (cell.far - cell.near);
    gap.beside[k] = landed * rim.root_conductivity[k];
    area += landed;
    weight += gap.beside[k];
  }
  if (weight <= 0) return open;
  double open_beside = 0;
  for (std::size_t k = first.cell; k < surface.size(); ++k) {
    gap.beside[k] *= share / weight;
    open_beside += gap.beside[k] * (1 - potential[surface[k].face.cell]);
  }
  for (double& under_face : gap.share) under_face *= 1 - share;
  gap.root_conductivity = share * weight / area + (1 - share) * gap.root_conductivity;
  const double both = open_beside + (1 - share) * open;
  gap.strike = both / std::max(first.ratio, under);
  gap.drop = std::min(rim.drop, 0.9 * (1 - rim.strike_spread) * gap.strike);
  return both;
}

}  // namespace dryfront
