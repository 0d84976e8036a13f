// Beside a touching face: the free surface of the tissue stands across a gap from the electrode's own profile, and
// where it strikes first a channel lands, though the contact be wet.
#pragma once

#include <span>
#include <vector>

#include "physics/contact.hpp"

namespace dryfront {

// What the gap beside a contact is, at one moment.
struct RimGap {
  const Electrode* electrode = nullptr;
  double least_strike = 0;                // of a steam gap, peak [V]
  double strike_spread = 0;               // half width of the spread of both gaps' strike voltages [-]
  double drop = 0;                        // of a channel, before the bound by the strike voltage [V]
  double width = 0;                       // of the free surface on which channels land [m]
  std::span<const double> temperature;    // per cell [C]
  std::vector<double> root_conductivity;  // per cell of the free surface [S/m]
};

// Fills root_conductivity for a tissue as it is.
void find_roots(const ContactGeometry& geometry, const Physics& physics, std::span<const double> conductivity,
                std::span<const double> breakdown, const StrikingTable& striking, RimGap& rim);

// Where a gap strikes first.
struct FirstStrike {
  double ratio = 0;      // open voltage over strike voltage, per volt of the electrode [1/V]
  double distance = 0;   // from the contact's edge [m]
  std::size_t cell = 0;  // index into ContactGeometry::free_surface
};

// The greatest of  theta(x)/max(V_steam, V_air(h(x), T))  over the free surface: x the distance from the contact's
// edge, theta = 1 - V/V_e of the unstruck field, h the electrode's profile (profile_gap), T the surface's own. Every
// cell answers with its best place: theta rises with x at most as its square root, V_air at least as that, so that the
// ratio rises while the steam gap's voltage counts, up to V_air = V_steam, and falls beyond. theta at the surface is
// that of the top two cells with dV/dz = 0 between; from the edge, where it is that of the nearest face, to the first
// centre and between centres theta^2 is linear in x, as beside an equipotential face (Weber 1873, from memory).
//   potential  per cell, of 1 V at the electrode
//   face_open  1 - V of the tissue's surface below each face of the contact, or empty where that is 0 (a perfect one)
// Ratio 0 where there is no free surface below metal.
FirstStrike first_strike(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                         std::span<const double> potential, std::span<const double> face_open);

// How often, in the mean over many half waves, the first of two gaps strikes before the second: each has a strike
// voltage of its own, spread evenly over (1 -+ spread) times its mean. With k = ratio/other >= 1
//   1 - (1 + s - k (1 - s))^2/(8 k s^2)   while that bracket is positive, 1 beyond; for k < 1 one minus that of 1/k
// A spread below 1e-4 counts as 1e-4.   [-]
double share_of_first(double ratio, double other, double spread);

// Lets the channels of a gap under the face land beside it as well, for the share of half waves in which it strikes
// there. Every cell of the free surface counts with its area times how often its best place would strike before the
// best of all (as in share_of_first), so that the landing moves without a jump; from such a place the current enters
// over `width` outwards, per area by sigma_root. All is one gap: `open` becomes the mean over where the current enters,
// and the strike voltage such that open/strike is the greater of the two ratios. Fills gap.beside.
//   open   of the gap under the face, per volt of the electrode [-]
// Returns the new one.
double land_beside(const Grid& grid, const ContactGeometry& geometry, const RimGap& rim,
                   std::span<const double> potential, std::span<const double> face_open, double open, SparkGap& gap);

}  // namespace dryfront
