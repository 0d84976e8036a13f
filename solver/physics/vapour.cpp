#include "physics/vapour.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

namespace {

constexpr double boils = 100, fades_from = 98;  // [C]
constexpr int table_parts = 4000;
constexpr double table_step = boils / table_parts;  // [K]
constexpr double fills_up = 4;                      // share of open space per room, assumed [-]
constexpr double gives_all_from = 0.1;              // water [-]

// Antoine's equation for water, 1 to 100 C   [Pa]
double saturation_pressure(double temperature) {
  constexpr double pascal_per_torr = 133.322;
  return pascal_per_torr * std::pow(10, 8.07131 - 1730.63 / (233.426 + temperature));
}

double of_open_air(double temperature) {
  constexpr double molar_mass = 0.018015, gas_constant = 8.314462618, zero = 273.15;
  static const double atmosphere = saturation_pressure(boils);
  const double kelvin = temperature + zero;
  const double pressure = saturation_pressure(temperature);
  const double antoine = 233.426 + temperature;
  const double slope = pressure * std::log(10) * 1730.63 / (antoine * antoine);
  const double diffusivity = 2.13e-5 * std::pow(kelvin / 273, 1.8);
  return diffusivity * molar_mass / (gas_constant * kelvin) * atmosphere / (atmosphere - pressure) * slope;
}

}  // namespace

double vapour_diffusion(double temperature) {
  constexpr double next_to = 1e-6;  // nearer to it P - p_s is round-off [K]
  if (temperature >= boils - next_to) return 0;
  const double into = std::max(0.0, (temperature - fades_from) / (boils - fades_from));
  return of_open_air(std::max(0.0, temperature)) * (1 - into) * (1 - into) * (1 + 2 * into);
}

MeanVapourDiffusion::MeanVapourDiffusion() : integral_{0.0} {
  for (int k = 0; k <= table_parts; ++k) diffusion_.push_back(vapour_diffusion(k * table_step));
  for (std::size_t k = 0; k < table_parts; ++k) {  // Simpson's rule
    const double middle = vapour_diffusion((static_cast<double>(k) + 0.5) * table_step);
    integral_.push_back(integral_[k] + table_step / 6 * (diffusion_[k] + 4 * middle + diffusion_[k + 1]));
  }
}

// Between two entries the trapezoidal rule of the law taken as a straight line, on top of the exact sum.
double MeanVapourDiffusion::integral(double temperature) const {
  if (temperature <= 0) return diffusion_[0] * temperature;
  if (temperature >= boils) return integral_.back();
  const double place = temperature / table_step;
  const auto k = std::min(static_cast<std::size_t>(place), static_cast<std::size_t>(table_parts - 1));
  const double x = place - static_cast<double>(k);
  const double line = table_step * (diffusion_[k] * x + 0.5 * (diffusion_[k + 1] - diffusion_[k]) * x * x);
  const double missed = integral_[k + 1] - integral_[k] - 0.5 * table_step * (diffusion_[k] + diffusion_[k + 1]);
  return integral_[k] + line + missed * x;
}

// Along a straight line between the entries.
double MeanVapourDiffusion::at(double temperature) const {
  if (temperature >= boils) return 0;
  const double place = std::max(0.0, temperature) / table_step;
  const auto k = std::min(static_cast<std::size_t>(place), static_cast<std::size_t>(table_parts - 1));
  return diffusion_[k] + (diffusion_[k + 1] - diffusion_[k]) * (place - static_cast<double>(k));
}

double MeanVapourDiffusion::between(double one, double other) const {
  return between(one, other, integral(one), integral(other));
}

double MeanVapourDiffusion::between(double one, double other, double integral_one, double integral_other) const {
  constexpr double alike = 1e-3;  // below it the difference of the integrals would be lost in round-off [K]
  if (std::abs(one - other) < alike) return at(0.5 * (one + other));
  return (integral_one - integral_other) / (one - other);
}

double gas_space(double gas_fraction, double water) {
  constexpr double water_volume = 0.75;
  return gas_fraction + water_volume * (1 - water);
}

double open_space(double gas_fraction, double water, double most) {
  return std::max(0.0, std::min(gas_space(gas_fraction, water), fills_up * (most - water)));
}

double gives_vapour(double water) { return std::clamp(water / gives_all_from, 0.0, 1.0); }

// Both sides are broken lines, the right one falling: on every piece the solution is at hand, and the least or greatest
// of several lines has the least or greatest of their solutions.
double water_with_vapour(double before, double gas_fraction, double most, double offered, double asked) {
  const double wide_at_zero = gas_space(gas_fraction, 0.0), wide_slope = wide_at_zero - gas_space(gas_fraction, 1.0);
  const auto solution = [&](double given, double giving_slope) {
    const double with_wide = (before - given + offered * wide_at_zero) / (1 + giving_slope + offered * wide_slope);
    const double with_room = (before - given + offered * fills_up * most) / (1 + giving_slope + offered * fills_up);
    return std::max((before - given) / (1 + giving_slope), std::min(with_wide, with_room));
  };
  const double gives_all = solution(asked, 0.0);
  if (gives_all >= gives_all_from) return gives_all;
  return std::max(0.0, solution(0.0, asked / gives_all_from));
}

VapourOpening::VapourOpening(const Grid& grid) {
  for (auto* field : {&water_, &space_, &giving_}) field->assign(grid.cells(), 0.0);
  strong_.reserve(grid.cells());
}

VapourOpening::Exchange VapourOpening::exchange(const FaceFlow& offered, std::size_t cell, double capacity) const {
  Exchange sum;
  const auto cross = [&](double out, std::size_t neighbour) {
    if (out > 0) sum.asked += out * space_[neighbour];
    if (out < 0) sum.offered -= out * giving_[neighbour];
  };
  const std::size_t columns = offered.columns, cells = offered.south.size();
  if (cell + 1 < cells) cross(offered.east[cell], cell + 1);  // no flow beyond the last column
  if (cell > 0) cross(-offered.east[cell - 1], cell - 1);
  if (cell + columns < cells) cross(offered.south[cell], cell + columns);
  if (cell >= columns) cross(-offered.south[cell - columns], cell - columns);
  return {sum.offered / capacity, sum.asked / capacity};
}

void VapourOpening::find(const FaceFlow& offered, std::span<const double> before, std::span<const double> most,
                         std::span<const double> gas_fraction, std::span<const double> capacity) {
  constexpr double settled = 1e-6;  // change of the water [-]
  constexpr int most_sweeps = 60;
  for (std::size_t c = 0; c < water_.size(); ++c) {
    water_[c] = before[c];
    space_[c] = open_space(gas_fraction[c], before[c], most[c]);
    giving_[c] = gives_vapour(before[c]);
  }
  find_strong(offered, capacity);
  double moved = 0;
  const auto settle = [&](std::size_t c) {
    const Exchange e = exchange(offered, c, capacity[c]);
    const double water = water_with_vapour(before[c], gas_fraction[c], most[c], e.offered, e.asked);
    moved = std::max(moved, std::abs(water - water_[c]));
    water_[c] = water;
    space_[c] = open_space(gas_fraction[c], water, most[c]);
    giving_[c] = gives_vapour(water);
  };
  // First from below, where it mostly is cooler: what a taker can take is then known.
  for (int sweep = 0; sweep < most_sweeps; ++sweep) {
    moved = 0;
    std::for_each(strong_.rbegin(), strong_.rend(), settle);
    if (moved <= settled) break;
    std::for_each(strong_.begin(), strong_.end(), settle);
    if (moved <= settled) break;
  }
}

// In the others the water of the start serves as well.
void VapourOpening::find_strong(const FaceFlow& offered, std::span<const double> capacity) {
  constexpr double much = 1e-3;  // through open space, over the initial water [-]
  const std::size_t columns = offered.columns;
  strong_.clear();
  for (std::size_t c = 0; c < water_.size(); ++c) {
    double sum = std::abs(offered.east[c]) + std::abs(offered.south[c]);
    if (c > 0) sum += std::abs(offered.east[c - 1]);
    if (c >= columns) sum += std::abs(offered.south[c - columns]);
    if (sum > much * capacity[c]) strong_.push_back(c);
  }
}

}  // namespace dryfront
