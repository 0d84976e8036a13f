#include "physics/tissue.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dryfront {

namespace {

constexpr double vacuum_permittivity = 8.8541878128e-12;  // [F/m], CODATA 2018
constexpr double freezing = 0;                            // [C]; below it properties are taken as at it

}  // namespace

double conductivity(const Tissue& tissue, double temperature, double water, bool rises) {
  const double effective = std::max(water - tissue.residual_saturation, 0.0) / (1 - tissue.residual_saturation);
  const double exponent = tissue.saturation_exponent;
  // The usual exponent without the cost of std::pow, since this is called in every cell of every iteration.
  const double saturation = exponent == 2 ? effective * effective : std::pow(effective, exponent);
  const double above = std::clamp(temperature, freezing, tissue.boiling_point) - tissue.conductivity_at;
  const double rise = rises ? 1 + tissue.conductivity_per_C * above : 1.0;
  return tissue.conductivity * rise * std::max(saturation, tissue.conductivity_floor);
}

double heat_capacity(const Tissue& tissue, double water) {
  return tissue.density * tissue.specific_heat * (tissue.dry_heat_ratio + water * (1 - tissue.dry_heat_ratio));
}

double thermal_conductivity(const Tissue& tissue, double temperature, double water) {
  const double above = std::clamp(temperature, freezing, tissue.boiling_point) - tissue.conductivity_at;
  const double wet = tissue.conduction * (1 + tissue.conduction_per_C * above);
  return tissue.dry_conduction + water * (wet - tissue.dry_conduction);
}

double initial_water(const Tissue& tissue) { return tissue.density * tissue.water_fraction; }

double displacement_ratio(const Tissue& tissue, double frequency_Hz) {
  return 2 * std::numbers::pi * frequency_Hz * vacuum_permittivity * tissue.relative_permittivity / tissue.conductivity;
}

}  // namespace dryfront
