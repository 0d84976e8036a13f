#include "physics/vapour.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

namespace {

constexpr double boils = 100, fades_from = 98;  // [C]
constexpr int table_parts = 4000;
constexpr double table_step = boils / table_parts;  // [K]

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

double MeanVapourDiffusion::between(double one, double other) const {
  constexpr double alike = 1e-3;  // below it the difference of the integrals would be lost in round-off [K]
  if (std::abs(one - other) < alike) return vapour_diffusion(0.5 * (one + other));
  return (integral(one) - integral(other)) / (one - other);
}

double gas_space(const Tissue& tissue, double water) {
  constexpr double water_volume = 0.75;
  return tissue.gas_fraction + water_volume * (1 - water);
}

double gives_vapour(double water) {
  constexpr double gives_all_from = 0.1;
  return std::clamp(water / gives_all_from, 0.0, 1.0);
}

void set_vapour_conductances(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact,
                             const MeanVapourDiffusion& diffusion, std::span<const double> temperature,
                             std::span<const double> water, std::span<const double> tortuosity, FluxOperator& op) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  set_conductances(grid, tortuosity, op);
  for (const std::size_t cell : contact.metal) isolate(op, cell);
  const auto heat = [&](std::size_t here, std::size_t there) {
    const bool down = temperature[here] > temperature[there];
    const std::size_t giver = down ? here : there, taker = down ? there : here;
    return rows.at(giver / columns).latent * gives_vapour(water[giver]) *
           gas_space(rows.at(taker / columns), water[taker]) * diffusion.between(temperature[here], temperature[there]);
  };
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    if (op.east[c] > 0) op.east[c] *= heat(c, c + 1);
    if (op.south[c] > 0) op.south[c] *= heat(c, c + columns);
  }
}

}  // namespace dryfront
