// The state of one mode at one moment.
#pragma once

#include <cstdint>
#include <vector>

#include "physics/electric.hpp"

namespace dryfront {

// Time is counted in picoseconds, so that events meet exactly and nothing is summed in floating point.
using Ticks = std::int64_t;
inline constexpr double ticks_per_second = 1e12;
inline double seconds(Ticks ticks) { return static_cast<double>(ticks) / ticks_per_second; }

struct State {
  Ticks time = 0;
  std::vector<double> temperature;         // [C]
  std::vector<double> water;               // s [-]
  std::vector<double> peak_temperature;    // [C]
  std::vector<std::vector<double>> omega;  // per damage pair [-]
  std::vector<double> cem43;               // [min]
  std::vector<double> eschar;              // c per contact face [-]
  double electrode_temperature = 0;        // [C]
  ElectricState electric;                  // at this moment
  std::vector<double> heat_source;         // what the current heats each cell with at this moment [W]
  double spark_loss = 0;                   // share of the spark heat that goes to metal and air [W]

  // How fast things went in the last step, to look half a step ahead; zero after a switch.
  std::vector<double> heat_source_rate;  // [W/s]
  std::vector<double> water_rate;        // [1/s]
  std::vector<double> boil_rate;         // of s, positive [1/s]
  std::vector<double> temperature_rate;  // [K/s]
  std::vector<double> omega_rate;        // of the pair that stops perfusion [1/s]
  double resistance_rate = 0;            // [ohm/s]
  double electrode_rate = 0;             // [K/s]
};

// Sums over the whole run, each term of the three balances.
struct Ledger {
  double electric_in = 0, surface_in = 0, beyond_out = 0, spark_out = 0, metabolic_in = 0;  // [J]
  double air_out = 0, electrode_out = 0, far_out = 0, perfusion_out = 0, latent = 0;        // [J]
  double water_boiled = 0;                                                                  // [kg]
  double worst_electric = 0;                                                                // [-]
};

}  // namespace dryfront
