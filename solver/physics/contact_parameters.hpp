// The electrode, the way it touches, and the numbers of the contact physics that are no property of the tissue.
#pragma once

#include "numerics/enumeration.hpp"

namespace dryfront {

//          about an axis                                           about a plane
//   disc   a flat face of `radius` on the surface                  a strip of that half width
//   ring   the same with a hole of `inner_radius`                  two strips, side by side
//   dome   a sphere of `radius` pressed in by `press`              a cylinder that lies pressed in
//   rod    a cylinder of `radius` inserted on the axis by `length` a plate of that half thickness, inserted edgewise
enum class ElectrodeShape { disc, ring, dome, rod };
constexpr auto enumerators(ElectrodeShape) {
  return enumeration<ElectrodeShape>({{ElectrodeShape::disc, "disc"},
                                      {ElectrodeShape::ring, "ring"},
                                      {ElectrodeShape::dome, "dome"},
                                      {ElectrodeShape::rod, "rod"}});
}

enum class ContactKind { perfect, conductance, spots, gap };
constexpr auto enumerators(ContactKind) {
  return enumeration<ContactKind>({{ContactKind::perfect, "perfect"},
                                   {ContactKind::conductance, "conductance"},
                                   {ContactKind::spots, "spots"},
                                   {ContactKind::gap, "gap"}});
}

enum class ElectrodeHeat { insulated, film, held, lumped };
constexpr auto enumerators(ElectrodeHeat) {
  return enumeration<ElectrodeHeat>({{ElectrodeHeat::insulated, "insulated"},
                                     {ElectrodeHeat::film, "film"},
                                     {ElectrodeHeat::held, "held"},
                                     {ElectrodeHeat::lumped, "lumped"}});
}

// How sparks carry their current: as a conductance per dry area, or as channels on roots.
enum class SparkLaw { area, channels };
constexpr auto enumerators(SparkLaw) {
  return enumeration<SparkLaw>({{SparkLaw::area, "area"}, {SparkLaw::channels, "channels"}});
}

struct Electrode {
  ElectrodeShape shape = ElectrodeShape::disc;
  double radius = 0.006;    // [m]
  double inner_radius = 0;  // ring [m]
  double press = 0;         // dome: how deep it is pressed in [m]
  double length = 0;        // rod: inserted length [m]
  double edge_radius = 0;   // disc and ring: of the rounded edge beside the face; 0: sharp [m]
  ContactKind contact = ContactKind::spots;
  double conductance = 0;          // conductance contact [S/m2]
  double contact_fraction = 0.55;  // chi, share of the face that touches when wet [-]
  double spot_pitch = 0.22e-3;     // B, from spot to spot [m]
  double interface_depth = 1e-4;   // depth whose water wets the contact [m]
  double gap = 0;                  // gap contact: distance held off [m]
  ElectrodeHeat heat = ElectrodeHeat::lumped;
  double heat_transfer = 800;  // lumped and held: of the face, or with spots of the gaps between them [W/(m2 K)]
  double capacity = 0;         // lumped; 0: from volume and metal [J/K]
};

// The switches and the numbers of the contact physics that are no property of the tissue.
struct Physics {
  bool boil_off = true;
  bool moisture = true;
  bool arcing = true;
  bool eschar = true;
  bool breakdown = true;
  bool perfusion = true;
  bool conductivity_rises = true;
  bool bound_water = true;
  bool vapour = true;
  bool rim_arcing = true;
  bool pressed_out_water = true;
  double strike = 200;         // V_strike [V peak]
  double strike_spread = 0.2;  // half width of its uniform spread [-]
  SparkLaw spark_law = SparkLaw::channels;
  double spark_conductance = 20;      // g_s (area) [S/m2]
  double spark_channels = 1;          // n, at once (channels) [-]
  double spark_drop = 80;             // V_d of a channel (channels) [V]
  double spark_density = 1e7;         // J_s of its root, peak (channels) [A/m2]
  double spark_heat_share = 0.7;      // eta [-]
  double eschar_thickness = 2e-5;     // delta_c [m]
  double breakdown_field = 1e6;       // E_b of dried tissue, peak [V/m]
  double arc_conductivity = 0.1;      // sigma_arc [S/m]
  double leak_conductance = 1e-3;     // of the dry contact [S/m2]
  double bound_onset_width = 3.42;    // of the loss of bound water, see BoundWater [K]
  double bound_tail_width = 34.37;    // the same [K]
  double steam_kept = 0;              // share of the steam that condenses below [-]
  double pressed_diffusivity = 1e-9;  // of pressed-out water [m2/s]
  double pressed_loss = 0.2;          // share of the mass that leaves at rest at 90 C [-]

  bool operator==(const Physics&) const = default;
};

}  // namespace dryfront
