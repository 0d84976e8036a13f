// The contact between electrode and tissue: which faces touch, and the law that carries current through them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "numerics/contact_edge.hpp"
#include "numerics/grid.hpp"
#include "physics/contact_parameters.hpp"
#include "physics/tissue.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

// The tissue of every row: layers lie in z.
struct TissueRows {
  std::vector<Tissue> tissue;
  std::vector<std::size_t> of_row;
  const Tissue& at(std::size_t row) const { return tissue[of_row[row]]; }
};

// One tissue cell that touches the electrode, and the interface below its face.
struct ContactFace {
  std::size_t cell = 0;
  std::size_t row = 0;
  double rim_factor = 1;  // of half_cell in a perfect contact, see RimFactors [-]
  double area = 0;        // true contact area; on a stepped shape the steps' area scaled to the smooth one [m2]
  double half_cell = 0;   // conductance of the half cell behind the face at unit coefficient [m]
  std::size_t interface_begin = 0, interface_end = 0;  // into ContactGeometry::interface
};

struct InterfaceCell {
  std::size_t cell = 0;
  double share = 0;  // of the interface depth below the face; the shares of a face add up to 1
};

struct ContactGeometry {
  std::vector<ContactFace> faces;
  std::vector<InterfaceCell> interface;
  std::vector<std::size_t> metal;       // cells inside a pressed or inserted electrode
  std::vector<unsigned char> is_metal;  // per cell
  std::vector<unsigned char> covered;   // per column: the surface z = 0 there touches the electrode or is metal
  RimFactors rim;                       // of the faces near the rims of a disc or ring in perfect contact
  double area = 0;                      // of the contact [m2]
};

// disc, ring: faces on z = 0 within the radii. dome: a sphere of `radius` pressed in by `press`; rod: a cylinder of
// `radius` and `length` inserted on the axis: cells whose centre lies inside are metal, their tissue neighbours touch.
// Throws std::invalid_argument when no face touches.
ContactGeometry contact_geometry(const Grid& grid, const Electrode& electrode);

// Current per area through a face at rms gap voltage V:  J = (base + spark f(strike / (CF V))) V
struct ContactLaw {
  double base = 0;   // chi wet sigma/l + leak [S/m2]
  double spark = 0;  // (1 - chi wet) g_s [S/m2]
  double wet = 0;    // wet coverage (1 - c) mean(s over the interface) [-]
};

// Fills one law per face. Eschar, per face, is the eschar coverage c in [0, 1].
//   spots     base = chi wet sigma(T_s, wet tissue)/l + leak, spark = (1 - chi wet) g_s
//   conductance  base = the given conductance, no sparks
//   gap          base = leak, spark = g_s
// A perfect contact has no law (contact_is_perfect).
void contact_laws(const ContactGeometry& geometry, const Electrode& electrode, const Physics& physics,
                  const TissueRows& rows, std::span<const double> temperature, std::span<const double> water,
                  std::span<const double> eschar, std::span<ContactLaw> laws);

// Peak strike voltage: the stated one, or for an electrode held off by `gap` the breakdown of a uniform air gap at one
// atmosphere, 24.2 d + 6.08 sqrt(d) kV with d in cm (from memory), whichever is greater.   [V]
double strike_voltage(const Electrode& electrode, const Physics& physics);

// A conductance that rises with the field across it: (base + extra f(threshold / E)) with E the rms field or voltage.
// Returns the E at which the current density is J. The law's J(E) is increasing, so there is one.
//   threshold: peak strike voltage (or field) over the crest factor
double field_at_current(double base, double extra, double threshold, const StrikingTable& striking, double current);

}  // namespace dryfront
