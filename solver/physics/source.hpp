// The source characteristic: which rms voltage stands across a load.
#pragma once

#include <string>
#include <vector>

namespace dryfront {

enum class SourceKind { regulated, matched, table, voltage, power };

struct Source {
  SourceKind kind = SourceKind::regulated;
  double dial = 0;            // P_set (regulated, matched, power) [W]
  double rms = 0;             // fixed rms voltage (voltage) [V]
  double match = 500;         // R_m (matched) [ohm]
  double peak_limit = 0;      // 0: none [V]
  double current_limit = 0;   // rms, 0: none [A]
  std::string file;           // table: two columns, load [ohm] and power at dial 1 W-per-W, read by the case reader
  std::vector<double> load;   // table: increasing [ohm]
  std::vector<double> power;  // table: [W]
};

// Rms voltage across a load of R ohm, after the limits V_peak = crest_factor * V_rms <= peak_limit and
// I_rms <= current_limit.   [V]
//   regulated, power  V = sqrt(P_set R)
//   matched           V = sqrt(P(R) R), P(R) = P_set 4 R R_m/(R + R_m)^2
//   table             V = sqrt(P(R) R), P log-linear in R between the entries, the end value beyond
//   voltage           V = rms
double source_voltage(const Source& source, double load, double crest_factor);

}  // namespace dryfront
