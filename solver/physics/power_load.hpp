// Power against load: what a source delivers into every load.
#pragma once

#include <vector>

#include "physics/source.hpp"

namespace dryfront {

// The loads that are looked at [ohm].
inline constexpr double least_load = 1, greatest_load = 1e4;

struct LoadPoint {
  double load = 0;     // [ohm]
  double power = 0;    // [W]
  double rms = 0;      // [V]
  double peak = 0;     // [V]
  double current = 0;  // rms [A]
};

// P = V^2/R, peak = crest_factor V, I = V/R with V of source_voltage; load > 0, finite. A source that holds a
// temperature counts with all the power it may demand.
LoadPoint delivered_into(const Source& source, double load, double crest_factor);

// The same over loads from least_load to greatest_load that increase: evenly in the logarithm, 30 to a decade, and
// where the curve has a corner (a limit sets in, a flat range or an entry of a table) or its summit (the rated load).
std::vector<LoadPoint> power_load_curve(const Source& source, double crest_factor);

}  // namespace dryfront
