// The contact between electrode and tissue: which faces touch, and the law that carries current through them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "numerics/contact_edge.hpp"
#include "numerics/grid.hpp"
#include "physics/contact_parameters.hpp"
#include "physics/spark_gap.hpp"
#include "physics/tissue.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

// The tissue of every row: layers lie in z.
struct TissueRows {
  std::vector<Tissue> tissue;
  std::vector<std::size_t> of_row;
  const Tissue& at(std::size_t row) const { return tissue[of_row[row]]; }
};

// A cell below a face and its share of a depth below it.
struct CellBelow {
  std::size_t cell = 0;
  double share = 0;
};

// One tissue cell that touches the electrode. The ranges are indices into ContactGeometry::below; the shares of each
// add up to 1.
struct ContactFace {
  std::size_t cell = 0;
  std::size_t row = 0;
  double rim_factor = 1;  // of half_cell in a perfect contact, see RimFactors [-]
  double area = 0;        // of contact [m2]
  int di = 0, dj = 1;     // the direction in which what lies below it runs
  double first = 0;       // from the face to the end of its cell that way [m]
  double half_cell = 0;   // conductance from the face to the cell's centre at unit coefficient [m]
  double to_middle = 0;   // the same to the middle of `first` [m]
  struct Range {
    std::size_t begin = 0, end = 0;
  };
  Range interface;     // the depth whose water wets the contact and which takes the sparks' heat
  Range constriction;  // the depth that takes the heat of the wet contact: with spots where the current narrows to them
};

// A cell of the free surface beside the contact, of the tissue's top row.
struct FreeSurfaceCell {
  ContactFace face;                      // towards the air; it touches nothing
  double near = 0, middle = 0, far = 0;  // distance from the contact's edge: where it begins, its centre, its end [m]
  bool first = false;                    // next to the contact's edge
  std::size_t touching = 0;              // face of the contact at that edge
};

struct ContactGeometry {
  std::vector<ContactFace> faces;
  std::vector<CellBelow> below;
  std::vector<std::size_t> metal;             // cells inside a pressed or inserted electrode
  std::vector<unsigned char> is_metal;        // per cell
  std::vector<unsigned char> covered;         // per column: the surface z = 0 there touches the electrode or is metal
  RimFactors rim;                             // of the faces near the rims of a disc or ring in perfect contact
  std::vector<FreeSurfaceCell> free_surface;  // from each edge of the contact away
  double area = 0;                            // of the contact [m2]
};

// Flat faces: those on z = 0 within the radii. Others: cells whose centre lies inside are metal, their tissue
// neighbours touch, at the true distance (cut_cells.hpp); the areas are scaled to add up to the face's exactly. The
// depth of the constriction is the greater of the spots' radius at the start and one cell; that of a contact without
// spots is the interface's. Throws std::invalid_argument when no face touches.
ContactGeometry contact_geometry(const Grid& grid, const Electrode& electrode);

// Cells' values averaged over a range of below.
double mean_below(const ContactGeometry& geometry, const ContactFace::Range& range, std::span<const double> values);

// Adds a power to the cells from a face down to a depth, by their shares of it.   [W]
void add_below(const Grid& grid, const ContactFace& face, double depth, double power, std::span<double> heating);

// The constriction of a flux that spreads from an isothermal spot of radius a into a cylinder of radius b around it,
// eps = a/b: its resistance is psi/(4 sigma a). The polynomial meets the exact series of this mixed problem within
// 0.04 % up to eps = 0.97 and tends to 2 (1 - eps)^2 (fitted to the project's own solution of the dual series).   [-]
double constriction_factor(double eps);

// Touching spots at square pitch B that cover the share chi of the face: conductance per area over the tissue's
// coefficient (sigma or k), 4 eps/(sqrt(pi) B psi(eps)), eps = sqrt(chi), at most 1/(1 um).   [1/m]
double spots_conductance(double contact_fraction, double pitch);

// Current per area through a face at rms gap voltage V:  J = (base + spark f(strike / (CF V))) V
struct ContactLaw {
  double base = 0;   // wet g_0 + leak [S/m2]
  double spark = 0;  // (1 - chi wet) g_s [S/m2]
  double wet = 0;    // wet coverage (1 - c) mean(s over the interface) [-]
};

// Fills one law per face. Eschar, per face, is the eschar coverage c in [0, 1].
//   spots        base = wet sigma(T_s, wet tissue) spots_conductance + leak, spark = (1 - chi wet) g_s: drying takes
//                spots away, not their radius
//   conductance  base = the given conductance, no sparks
//   gap          base = leak, spark = g_s
// With channels spark is 0 throughout: they are a SparkGap beside the laws.
// A perfect contact has no law (contact_is_perfect).
void contact_laws(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                  const TissueRows& rows, std::span<const double> temperature, std::span<const double> water,
                  std::span<const double> eschar, std::span<ContactLaw> laws);

// Where the channels of a spark gap stand and what they stand on. Their current enters by  (1 - chi wet) sigma_root
// per area, as roots wander over the dry part of the face (all of it under one held off); sigma_root is that of
// the tissue over the interface depth, with the breakdown that the field J_s/sigma_root of the root itself makes.
//   conductivity, breakdown   sigma(T, s) and sigma_arc (1 - s)^2 per cell, the second empty without breakdown [S/m]
//   striking                  by which dried tissue breaks down
void spark_landing(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                   std::span<const ContactLaw> laws, std::span<const double> conductivity,
                   std::span<const double> breakdown, const StrikingTable& striking, SparkGap& gap);

// Heat transfer from the tissue to the electrode, one value per face: with spots k(T_s, s) spots_conductance +
// (1 - chi) h_gap, since solid that touches goes on carrying heat when its water is gone; otherwise the stated one;
// infinite where that is 0 (an ideal contact).   [W/(m2 K)]
void contact_heat_transfer(const ContactGeometry& geometry, const Electrode& electrode, const TissueRows& rows,
                           std::span<const double> temperature, std::span<const double> water,
                           std::span<double> heat_transfer);

// Conductivity of the tissue under a channel's root: over the interface depth, with the breakdown that the root's field
// makes.   [S/m]
double root_conductivity(const ContactGeometry& geometry, const ContactFace::Range& interface, const Physics& physics,
                         std::span<const double> conductivity, std::span<const double> breakdown,
                         const StrikingTable& striking);

// Breakdown of a uniform gap in air at one atmosphere, at the gas temperature T: with delta = 293/(T + 273),
// 24.2 delta d + 6.08 sqrt(delta d) kV, d in cm (from memory). Peak.   [V]
double air_strike(double gap, double gas_temperature);

// Peak strike voltage: the stated one, or for an electrode held off by `gap` the breakdown of a uniform air gap at one
// atmosphere and 20 C (air_strike), whichever is greater.   [V]
double strike_voltage(const Electrode& electrode, const Physics& physics);

// Drop of a spark channel: the stated one, at most 0.9 of the lowest strike voltage of the spread, so that what strikes
// conducts.   [V]
double spark_drop(const Physics& physics, double strike);

// A conductance that rises with the field across it: (base + extra f(threshold / E)) with E the rms field or voltage.
// Returns the E at which the current density is J. The law's J(E) is increasing, so there is one.
//   threshold: peak strike voltage (or field) over the crest factor
double field_at_current(double base, double extra, double threshold, const StrikingTable& striking, double current);

}  // namespace dryfront
