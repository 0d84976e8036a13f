// Depth of effect: where a field crosses its level, located between cell centres by a parabola.
#pragma once

#include <span>
#include <vector>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// The fields an effect can be read from; spans over the cells.
struct EffectFields {
  std::span<const double> temperature;
  std::span<const double> water;
  std::span<const double> peak_temperature;
  std::span<const double> cem43;
  std::span<const std::vector<double>> omega;
};

// ln Omega, which is what is compared and interpolated, since Omega varies by orders of magnitude from cell to cell.
// Omega below least_omega counts as least_omega.
inline constexpr double least_omega = 1e-12;
double log_omega(double omega);

// How far each cell is past the effect's level, positive inside; damage as its logarithm.
void excess_of(const Effect& effect, const EffectFields& fields, std::span<double> excess);

// Deepest crossing in every column; 0 where the column has no cell inside   [m]
void depth_per_column(const Grid& grid, std::span<const double> excess, std::span<double> depth);

// Radius of the outermost crossing in the top row   [m]
double surface_half_width(const Grid& grid, std::span<const double> excess);

// Volume inside the level: in each column the lengths between the crossings times the ring's area   [m3]
//   begins  per column, where its tissue begins (tissue_begins); empty: all at the surface [m]
double volume_inside(const Grid& grid, std::span<const double> excess, std::span<const double> begins = {});

}  // namespace dryfront
