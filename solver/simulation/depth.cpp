#include "simulation/depth.hpp"

#include <algorithm>
#include <cmath>

#include "numerics/parabola.hpp"

namespace dryfront {

double log_omega(double omega) { return std::log(std::max(omega, least_omega)); }

void excess_of(const Effect& effect, const EffectFields& fields, std::span<double> excess) {
  const auto above = [&](std::span<const double> field) {
    for (std::size_t c = 0; c < excess.size(); ++c) excess[c] = field[c] - effect.at;
  };
  switch (effect.of) {
    case EffectKind::damage: {
      const std::vector<double>& omega = fields.omega[static_cast<std::size_t>(effect.pair)];
      const double level = std::log(effect.at);
      for (std::size_t c = 0; c < excess.size(); ++c) excess[c] = log_omega(omega[c]) - level;
      break;
    }
    case EffectKind::temperature:
      above(fields.temperature);
      break;
    case EffectKind::dry:
      for (std::size_t c = 0; c < excess.size(); ++c) excess[c] = effect.at - fields.water[c];
      break;
    case EffectKind::peak_temperature:
      above(fields.peak_temperature);
      break;
    case EffectKind::cem43:
      above(fields.cem43);
      break;
  }
}

void depth_per_column(const Grid& grid, std::span<const double> excess, std::span<double> depth) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  const auto rows = static_cast<std::size_t>(grid.rows());
  const std::vector<double>& z = grid.z();
  std::fill(depth.begin(), depth.end(), 0.0);
  for (std::size_t i = 0; i < columns; ++i) {
    for (std::size_t j = rows; j-- > 0;) {
      if (excess[j * columns + i] < 0) continue;
      if (j + 1 == rows) {
        depth[i] = grid.z_face().back();
      } else {
        depth[i] = parabola(z, j, [&](std::size_t row) { return excess[row * columns + i]; }).crossing();
      }
      break;
    }
  }
}

double surface_half_width(const Grid& grid, std::span<const double> excess) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  const std::vector<double>& r = grid.r();
  for (std::size_t i = columns; i-- > 0;) {
    if (excess[i] < 0) continue;
    if (i + 1 == columns) return grid.r_face().back();
    return parabola(r, i, [&](std::size_t column) { return excess[column]; }).crossing();
  }
  return 0;
}

double volume_inside(const Grid& grid, std::span<const double> excess, std::span<const double> begins) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  const auto rows = static_cast<std::size_t>(grid.rows());
  const std::vector<double>& z = grid.z();
  double volume = 0;
  for (std::size_t i = 0; i < columns; ++i) {
    const double from = begins.empty() ? 0.0 : begins[i];
    const auto below = static_cast<std::size_t>(std::upper_bound(z.begin(), z.end(), from) - z.begin());
    const std::size_t first = std::min(below, rows - 1);
    double length = excess[first * columns + i] >= 0 ? z[first] - from : 0.0;
    for (std::size_t j = first; j + 1 < rows; ++j) {
      const double a = excess[j * columns + i];
      const double b = excess[(j + 1) * columns + i];
      if (a < 0 && b < 0) continue;
      const double whole = z[j + 1] - z[j];
      if (a >= 0 && b >= 0) {
        length += whole;
      } else {
        const double at = parabola(z, j, [&](std::size_t row) { return excess[row * columns + i]; }).crossing();
        length += a >= 0 ? at - z[j] : z[j + 1] - at;
      }
    }
    if (excess[(rows - 1) * columns + i] >= 0) length += grid.z_face().back() - z[rows - 1];
    volume += length * grid.axial_area(static_cast<int>(i));
  }
  return volume;
}

}  // namespace dryfront
