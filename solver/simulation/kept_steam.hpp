// Steam that does not leave the tissue: a bound on what is not known of its way.
#pragma once

#include <span>

#include "simulation/domain.hpp"

namespace dryfront {

// What steam has brought deeper.
struct KeptSteam {
  double mass = 0;      // [kg]
  double latent = 0;    // [J]
  double sensible = 0;  // beside the latent heat, counted from the boiling point [J]
};

// The share physics.steam_kept of what has boiled off in each cell, water and heat together, condenses in the next
// deeper cell below 98 C: as much as warms it to 98 C, or as it has room for; the rest in the next one, and what finds
// no place leaves.   boiled: mass per cell [kg]; sensible: what it carries beside its latent heat, per cell [J]
KeptSteam keep_steam(const Domain& domain, std::span<const double> boiled, std::span<const double> sensible,
                     Fields& fields);

}  // namespace dryfront
