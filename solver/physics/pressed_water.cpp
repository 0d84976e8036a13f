#include "physics/pressed_water.hpp"

#include <cmath>

namespace dryfront {

namespace {

// Water over solid at equilibrium, over that of raw tissue   [-]
double swelling(double temperature) {
  constexpr double raw = 0.745, shrinks = 0.345;
  const double content = raw - shrinks / (1 + 30 * std::exp(-0.25 * (temperature - 52)));
  return content / (1 - content) * (1 - raw) / raw;
}

}  // namespace

double equilibrium_water(double temperature, double loss_at_90, double water_fraction) {
  return 1 - loss_at_90 / water_fraction * (1 - swelling(temperature)) / (1 - swelling(90));
}

PressedWater::PressedWater(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact, double diffusivity,
                           double loss_at_90)
    : rows_(rows), diffusivity_(diffusivity), loss_at_90_(loss_at_90), inside_(grid), equilibrium_(grid.cells(), 1.0) {
  std::vector<double> coefficient;
  for (int j = 0; j < grid.rows(); ++j) {
    const double per_cell = initial_water(rows.at(static_cast<std::size_t>(j))) * diffusivity;
    coefficient.insert(coefficient.end(), static_cast<std::size_t>(grid.columns()), per_cell);
  }
  set_conductances(grid, coefficient, inside_);
  for (std::size_t cell : contact.metal) isolate(inside_, cell);
  // The layer that is drained is thinner than most cells: what counts is how far their water is from the face, and not
  // their centres, which lie at any distance from a surface that cuts them.
  for (const ContactFace& face : contact.faces) {
    outlets_.push_back({face.cell, face.to_middle * coefficient[face.cell]});
  }
  for (int i = 0; i < grid.columns(); ++i) {
    if (contact.covered[static_cast<std::size_t>(i)]) continue;
    const std::size_t cell = grid.index(i, 0);
    outlets_.push_back({cell, axial_half_conductance(grid, coefficient[cell], i, 0)});
  }
}

void PressedWater::set_temperature(std::span<const double> temperature) {
  const std::size_t columns = static_cast<std::size_t>(inside_.columns);
  for (std::size_t c = 0; c < equilibrium_.size(); ++c) {
    equilibrium_[c] = equilibrium_water(temperature[c], loss_at_90_, rows_.at(c / columns).water_fraction);
  }
}

}  // namespace dryfront
