// The whole circuit of an activation with a conductor beside the lead: what strays. Lumped, linear, harmonic by
// harmonic.
//
//    E --[source R_s]-- a --[lead L]-- tip --[tissue R_t, or gap C_gap]-- b --[return R_p]-- return
//                       |                                                 |
//                       +--[C_g to return]     a --[beside C_c]--[R_x or lamp]-- b
#pragma once

#include <complex>
#include <vector>

#include "numerics/enumeration.hpp"
#include "physics/source.hpp"
#include "physics/spectrum.hpp"

namespace dryfront {

enum class Tip { touching, open };
constexpr auto enumerators(Tip) { return enumeration<Tip>({{Tip::touching, "touching"}, {Tip::open, "open"}}); }

// The numbers of a circuit; each member is the key of the same name in [circuit]. Defaults are assumed.
struct Circuit {
  double source_resistance = 0;    // R_s; 0: what the mode's source has [ohm]
  double ground = 100e-12;         // C_g, from the lead's beginning to the return [F]
  double lead = 3e-6;              // L [H]
  Tip tip = Tip::touching;         // of the electrode
  double tissue = 0;               // R_t, 0: not given [ohm]
  double gap = 1e-12;              // C_gap [F]
  double beside = 0;               // C_c, from the lead to the conductor beside it; 0: by its turns [F]
  double turns = 0;                // of the lead about the conductor [-]
  double turn = 3e-12;             // of one turn [F]
  double beside_resistance = 200;  // R_x, from the conductor to the body [ohm]
  double return_resistance = 25;   // R_p, from the body to the return [ohm]
  double lamp_voltage = 0;         // of a lamp in place of R_x, rated [V]; 0: none
  double lamp_current = 0;         // rated [A]

  bool operator==(const Circuit&) const = default;
};

bool has_lamp(const Circuit& circuit);
// C_c, or that of the turns   [F]
double coupling(const Circuit& circuit);

// A tungsten filament: P = P_r (T^4 - T_0^4)/(T_r^4 - T_0^4), R = R_r (T/T_r)^1.2, T_r = 2500 K at its rating and T_0
// = 293 K. From memory: radiation by Stefan and Boltzmann, the exponent that of tungsten's resistivity; T_r of a
// small lamp.
inline constexpr double rated_filament = 2500;  // [K]
// From here on a hot body can be seen in the dark (Draper 1847, 798 K).   [K]
inline constexpr double glows_from = 798;

// The answer at one frequency.
struct CircuitHarmonic {
  double frequency = 0;            // [Hz]
  std::complex<double> stray;      // through C_c [A]
  std::complex<double> at_tip;     // node a, where lead and conductor part [V]
  std::complex<double> at_body;    // node b [V]
  std::complex<double> delivered;  // the source's current [A]
  std::complex<double> returned;   // through R_p [A]
};

// The answer to a waveform; values are rms over all harmonics.
struct CircuitAnswer {
  std::vector<CircuitHarmonic> harmonics;
  double stray = 0;         // [A]
  double stray_share = 0;   // of the current through the return [-]
  double at_tip = 0;        // [V]
  double at_body = 0;       // [V]
  double beside_power = 0;  // in R_x or the lamp [W]
  double open_circuit = 0;  // E [V]
  double filament = 0;      // temperature of the lamp's [K]; 0: no lamp
  double lamp_voltage = 0;  // across it [V]
  double left_out = 0;      // share of the mean square of E beyond the harmonics [-]
};

// Kirchhoff's equations of the two nodes,
//   (V_a - E)/R_s + i w C_g V_a + (V_a - V_b) y = 0,   (V_b - V_a) y + V_b/R_p = 0,
//   y = 1/(i w L + R_t, or + 1/(i w C_gap)) + 1/(1/(i w C_c) + R_x),
// solved in closed form at every line of the spectrum; rms by the root of the sum of squares.
//   E  of an unregulated source 2 sqrt(P_set R_m) behind R_m; of every other one the voltage that its characteristic
//      has at the load it meets, rms^2/power, behind R_s, 0 if not given. A peak limit holds at node a, as crest factor
//      times rms; a current limit for the current that the source delivers.
// A lamp's temperature is found so that its power meets what it radiates.
// Throws std::invalid_argument as spectrum() does.
CircuitAnswer solve_circuit(const Circuit& circuit, const Waveform& waveform, const Source& source);

}  // namespace dryfront
