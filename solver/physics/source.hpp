// The source characteristic: which rms voltage stands across a load.
#pragma once

#include <string>
#include <vector>

#include "numerics/enumeration.hpp"

namespace dryfront {

enum class SourceKind { constant_power, unregulated, table, voltage, temperature };
constexpr auto enumerators(SourceKind) {
  return enumeration<SourceKind>({{SourceKind::constant_power, "constant_power"},
                                  {SourceKind::unregulated, "unregulated"},
                                  {SourceKind::table, "table"},
                                  {SourceKind::voltage, "voltage"},
                                  {SourceKind::temperature, "temperature"}});
}

struct Source {
  SourceKind kind = SourceKind::constant_power;
  double setting = 0;        // P_set (constant_power, unregulated), the most power (temperature) [W]
  double rms = 0;            // fixed rms voltage (voltage) [V]
  double rated_load = 500;   // R_m (unregulated) [ohm]
  double peak_limit = 0;     // 0: none [V]
  double current_limit = 0;  // rms, 0: none [A]
  std::vector<double> flat;  // constant_power: from which load to which the power is held; empty: over all [ohm]
  std::string file;  // table: two columns, load [ohm] and power per watt of the setting, read by the case reader
  std::vector<double> load;   // table: increasing [ohm]
  std::vector<double> power;  // table: the setting already in it [W]
  double hold = 0;            // temperature: held at the probe [C]
  double reset_time = 10;     // temperature: of the controller's integral part; assumed, range 1 to 100 [s]
  std::string probe;          // temperature: name of the probe whose temperature is held

  bool operator==(const Source&) const = default;
};

// Rms voltage across a load of R ohm without any limit, 0 <= load <= infinity.   [V]
//   constant_power    V = sqrt(P_set R)
//   unregulated       V = sqrt(P(R) R), P(R) = P_set 4 R R_m/(R + R_m)^2: a voltage source 2 sqrt(P_set R_m) behind R_m
//   table             V = sqrt(P(R) R), P linear in log R between the entries, the end value beyond
//   voltage           V = rms
//   temperature       V = sqrt(P R), P what the controller demands, which the caller puts into `setting`
double unlimited_voltage(const Source& source, double load);

// What holds a source back whatever its characteristic; infinity: nothing.
struct SourceBounds {
  double rms;      // greatest rms voltage: peak_limit/crest_factor, and sqrt(P_set hi) of a flat range [lo, hi] [V]
  double current;  // greatest rms current: current_limit, and sqrt(P_set/lo) of a flat range [A]
};
SourceBounds source_bounds(const Source& source, double crest_factor);

// Rms voltage across a load of R ohm, within the bounds; 0 <= load <= infinity, crest_factor >= 1:
// V = min(unlimited voltage, greatest voltage, greatest current * R).   [V]
// Constant power, temperature and table have no bound of their own at an open circuit: V grows as sqrt(R) without end,
// unless a peak limit or the end of a flat range stops it. A fixed voltage has none for the current at a short circuit.
// The operating point is unique when V does not fall and V/R does not rise with R: always so but for a table whose
// power falls faster than 1/R or rises faster than R.
double source_voltage(const Source& source, double load, double crest_factor);

}  // namespace dryfront
