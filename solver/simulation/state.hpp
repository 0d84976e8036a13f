// The state of one mode at one moment. A step is a function of it and of nothing else, so that a run goes on from a
// saved state with the same bits.
#pragma once

#include <cstdint>
#include <vector>

#include "physics/electric.hpp"

namespace dryfront {

// Time is counted in picoseconds, so that events meet exactly and nothing is summed in floating point.
using Ticks = std::int64_t;
inline constexpr double ticks_per_second = 1e12;
inline double seconds(Ticks ticks) { return static_cast<double>(ticks) / ticks_per_second; }

// What is carried from step to step, one entry per cell unless said otherwise.
struct Fields {
  std::vector<double> temperature;         // [C]
  std::vector<double> water;               // s [-]
  std::vector<double> peak_temperature;    // [C]
  std::vector<std::vector<double>> omega;  // per damage pair [-]
  std::vector<double> cem43;               // [min]
  std::vector<double> eschar;              // c per contact face [-]
  double electrode_temperature = 0;        // [C]
  std::vector<double> coagulation;         // Omega of the tissues' own pairs; empty where no tissue has one [-]
};

// How fast things went in the last step, from which the next one is extrapolated; zero after a switch of the current.
struct Rates {
  std::vector<double> heat_source;  // [W/s]
  std::vector<double> water;        // [1/s]
  std::vector<double> boil_off;     // of s, positive [1/s]
  std::vector<double> vapour;       // of s, what it brings [1/s]
  std::vector<double> temperature;  // [K/s]
  std::vector<double> omega;        // of the pair that stops perfusion [1/s]
  double resistance = 0;            // [ohm/s]
  double electrode = 0;             // [K/s]
};

struct State {
  Ticks time = 0;
  bool current_on = false;
  Fields fields;
  ElectricState electric;           // at this moment, with the start of the next solve
  std::vector<double> heat_source;  // what the current heats each cell with at this moment [W]
  double spark_loss = 0;            // share of the spark heat that goes to metal and air [W]
  double control_integral = 0;      // of the controller of a source that holds a temperature [W]
  Rates rates;
};

}  // namespace dryfront
