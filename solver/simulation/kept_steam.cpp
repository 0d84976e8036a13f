#include "simulation/kept_steam.hpp"

#include <algorithm>

namespace dryfront {

namespace {

constexpr double condenses_below = 98;  // [C]

// A cell that takes in steam.
struct Taker {
  double temperature, boiling_point;  // [C]
  double capacity, of_water;          // [J/K], [J/(kg K)]
  double heat;                        // of the steam, counted from T_b as water [J/kg]

  double warmed(double taken) const {
    return boiling_point + (capacity * (temperature - boiling_point) + taken * heat) / (capacity + taken * of_water);
  }
};

// Lets up to `mass` of steam with the heat `heat` per mass, counted from T_b as water, condense in a cell; returns how
// much has.   [kg]
double condense(const Domain& domain, std::size_t cell, double mass, double heat, Fields& fields) {
  double& temperature = fields.temperature[cell];
  double& water = fields.water[cell];
  if (domain.contact.is_metal[cell] || temperature >= condenses_below) return 0;
  const Tissue& tissue = domain.tissue(cell);
  const double all_water = initial_water(tissue) * domain.volume[cell];
  const double of_water = (heat_capacity(tissue, 1.0) - heat_capacity(tissue, 0.0)) / initial_water(tissue);
  const Taker taker{temperature, tissue.boiling_point, heat_capacity(tissue, water) * domain.volume[cell], of_water,
                    heat};
  const double room = (most_water(domain, cell, temperature) - water) * all_water;
  const double warms =
      taker.capacity * (condenses_below - temperature) / (heat - of_water * (condenses_below - tissue.boiling_point));
  double taken = std::min({mass, room, warms});
  if (taken <= 0) return 0;
  const auto fits = [&](double x) { return water + x / all_water <= most_water(domain, cell, taker.warmed(x)); };
  if (domain.physics.bound_water && !fits(taken)) {  // as it warms it holds less
    constexpr int halvings = 40;
    double least = 0;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (least + taken);
      (fits(middle) ? least : taken) = middle;
    }
    taken = least;
  }
  temperature = taker.warmed(taken);
  water += taken / all_water;
  return taken;
}

}  // namespace

KeptSteam keep_steam(const Domain& domain, std::span<const double> boiled, std::span<const double> sensible,
                     Fields& fields) {
  KeptSteam kept;
  const auto columns = static_cast<std::size_t>(domain.grid.columns());
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    if (boiled[c] <= 0) continue;
    const double latent = domain.tissue(c).latent, beside = sensible[c] / boiled[c];
    double left = domain.physics.steam_kept * boiled[c];
    for (std::size_t below = c + columns; below < domain.cells() && left > 0; below += columns) {
      const double taken = condense(domain, below, left, latent + beside, fields);
      left -= taken;
      kept.mass += taken;
      kept.latent += taken * latent;
      kept.sensible += taken * beside;
    }
  }
  return kept;
}

}  // namespace dryfront
