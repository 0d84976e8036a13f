// What stands in a run file and under which name: one table per kind of dataset, used by the writer, the summary and
// the sidecar for viewers.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "physics/power_load.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// Raised when a reader of the older layout would misread the newer one.
inline constexpr int run_file_format = 1;

// One dataset of /mode/<name>/frame with the shape (frame, z, r).
struct FieldColumn {
  std::string name;
  std::string units;
  std::string long_name;
  bool wide = false;  // stored as float64: the range of float32 (1e38) is not enough
  std::function<const std::vector<double>&(const Frame&)> values;
};

// The fields of a case, those of output.fields only unless it is empty.
std::vector<FieldColumn> field_columns(const Case& c);

// One dataset of /mode/<name>/trace, one entry per step.
struct TraceColumn {
  const char* name;
  const char* units;
  const char* long_name;
  std::vector<double> Trace::*values;
};

inline const std::array<TraceColumn, 11> trace_columns{{
    {"t_s", "s", "time", &Trace::time},
    {"resistance_ohm", "ohm", "load resistance seen by the source", &Trace::resistance},
    {"power_W", "W", "power delivered by the source", &Trace::power},
    {"rms_V", "V", "rms voltage of the electrode", &Trace::rms},
    {"peak_V", "V", "peak voltage of the electrode", &Trace::peak},
    {"current_A", "A", "rms current", &Trace::current},
    {"arcing_share", "1", "share of the current that enters through spark feet", &Trace::arcing_share},
    {"surface_W", "W", "heating of the contact layer and by sparks", &Trace::surface},
    {"electrode_C", "degC", "electrode temperature", &Trace::electrode},
    {"wet_share", "1", "area mean of the wet coverage of the contact", &Trace::wet_share},
    {"eschar_share", "1", "area mean of the eschar coverage of the contact", &Trace::eschar_share},
}};

// One dataset of /mode/<name>/power_load, one entry per load.
struct LoadColumn {
  const char* name;
  const char* units;
  const char* long_name;
  double LoadPoint::*value;
};

inline const std::array<LoadColumn, 5> load_columns{{
    {"load_ohm", "ohm", "load", &LoadPoint::load},
    {"power_W", "W", "power that the source delivers into the load", &LoadPoint::power},
    {"rms_V", "V", "rms voltage across the load", &LoadPoint::rms},
    {"peak_V", "V", "peak voltage across the load", &LoadPoint::peak},
    {"current_A", "A", "rms current through the load", &LoadPoint::current},
}};

// The terms of the ledgers, from which their residuals can be repeated.
struct LedgerTerm {
  const char* name;
  const char* units;
  double LedgerRecord::*value;
};

inline const std::array<LedgerTerm, 19> ledger_terms{{
    {"electric_in_J", "J", &LedgerRecord::electric_in},
    {"surface_in_J", "J", &LedgerRecord::surface_in},
    {"stored_J", "J", &LedgerRecord::stored},
    {"latent_J", "J", &LedgerRecord::latent},
    {"steam_out_J", "J", &LedgerRecord::steam_out},
    {"perfusion_out_J", "J", &LedgerRecord::perfusion_out},
    {"surface_out_J", "J", &LedgerRecord::surface_out},
    {"electrode_out_J", "J", &LedgerRecord::electrode_out},
    {"far_out_J", "J", &LedgerRecord::far_out},
    {"spark_out_J", "J", &LedgerRecord::spark_out},
    {"metabolic_in_J", "J", &LedgerRecord::metabolic_in},
    {"water_start_kg", "kg", &LedgerRecord::water_start},
    {"water_left_kg", "kg", &LedgerRecord::water_left},
    {"water_boiled_kg", "kg", &LedgerRecord::water_boiled},
    {"vapour_condensed_kg", "kg", &LedgerRecord::vapour_condensed},
    {"vapour_refused_kg", "kg", &LedgerRecord::vapour_refused},
    {"steam_kept_kg", "kg", &LedgerRecord::steam_kept},
    {"pressed_out_kg", "kg", &LedgerRecord::pressed_out},
    {"pressed_heat_out_J", "J", &LedgerRecord::pressed_heat_out},
}};

// The units of an effect's `at`.
const char* threshold_units(const Effect& effect);

}  // namespace dryfront
