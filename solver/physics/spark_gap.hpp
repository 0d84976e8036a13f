// Sparks as channels: a gap that strikes as a whole in every half wave, channels of a constant drop that stand on
// roots, and the field of the tissue that feeds them, which is linear within a cycle.
#pragma once

#include <vector>

#include "physics/source.hpp"
#include "physics/struck_waveform.hpp"

namespace dryfront {

// A gap and the channels that cross it.
struct SparkGap {
  const StruckWaveform* waveform = nullptr;
  double crest_factor = 1;       // of that waveform [-]
  double strike = 0;             // V_strike, peak [V]
  double drop = 0;               // V_d, at most 0.9 of the lowest strike voltage of the spread [V]
  double channels = 1;           // n, at once [-]
  double current_density = 0;    // J_s of a root, peak [A/m2]
  double root_conductivity = 0;  // of the tissue under the roots, mean over where they land [S/m]
  std::vector<double> share;     // of the channels' current, per face; the sum of both is 1
  std::vector<double> beside;    // the same, per cell of the free surface; empty where nothing lands there
};

// The tissue as the gap sees it: a voltage behind a resistance (Thevenin).
struct GapFeed {
  double open = 0;        // theta, voltage across the gap when it is not struck, per volt of the electrode [-]
  double resistance = 0;  // of the tissue that the channels' current crosses, without the roots [ohm]
};

// Means over the waveform, per volt or volt squared of the electrode's rms voltage.
struct ChannelCurrents {
  double in_phase = 0;     // <u i> with u the electrode's voltage [S]
  double square = 0;       // <i^2> [S2]
  double drop_power = 0;   // V_d <|i|> [S]
  double root_power = 0;   // <i^2> R_root [S]
  double root_radius = 0;  // a [m]
};

// At the electrode's rms voltage V. While struck, i = (theta |u| - V_d)/(R + R_root), u the electrode's voltage,
//   R_root = 1/(4 n sigma_root a),   a = sqrt(I_peak/(n pi J_s)),
// from theta |u| = V_strike to theta |u| = V_d, where the current is zero. Radius and peak current of the root settle
// in closed form. All zero where the gap does not strike.
//   Source: contracted RF discharges in argon that go out at every zero, J_s about 1e7 A/m2, Sci Rep 2015;5:9946
//   (abstract); a root on tissue as Holm's contact (from memory).
ChannelCurrents channel_currents(const SparkGap& gap, const GapFeed& feed, double rms);

bool strikes(const SparkGap& gap, double open, double rms);

// The rms voltage at which a source stands across the tissue and its channels: V = source(R(V)), where
//   1/R = unstruck + theta <u i>/V^2.
// R falls with V and the source's voltage does not fall with R: there is one.
//   unstruck  conductance that the source sees before the gap strikes [S]
double voltage_with_channels(const SparkGap& gap, const GapFeed& feed, double unstruck, const Source& source,
                             double crest_factor);

}  // namespace dryfront
