// What a simulation reports: frames on the way, a record at the end. Plain data, SI, temperatures in degrees Celsius.
#pragma once

#include <atomic>
#include <cmath>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "numerics/grid.hpp"

namespace dryfront {

inline constexpr double not_a_time = std::numeric_limits<double>::quiet_NaN();  // "did not happen"

// The fields at one moment; every vector has one entry per cell (index(i, j), r fastest) unless said otherwise.
struct Frame {
  double time = 0;                         // [s]
  std::vector<double> temperature;         // [C]
  std::vector<double> water;               // s [-]
  std::vector<std::vector<double>> omega;  // per damage pair, then per cell [-]
  std::vector<double> cem43;               // [min]
  std::vector<double> peak_temperature;    // greatest so far [C]
  std::vector<double> heating;             // [W/m3]
  std::vector<double> potential;           // rms [V]
  std::vector<double> conductivity;        // sigma_eff [S/m]
  std::vector<std::vector<double>> depth;  // per effect, then per column: depth of effect, 0 where none [m]
};

// A mode arcs once so much of its current enters through spark feet: a convention of our own   [-]
inline constexpr double arcing_from = 1e-3;

// One row per accepted step (the first at t = 0).
struct Trace {
  std::vector<double> time;                         // [s]
  std::vector<double> resistance;                   // [ohm]
  std::vector<double> power;                        // [W]
  std::vector<double> rms;                          // [V]
  std::vector<double> peak;                         // [V]
  std::vector<double> current;                      // rms [A]
  std::vector<double> arcing_share;                 // share of the current that enters through spark feet [-]
  std::vector<double> surface;                      // contact and spark heating [W]
  std::vector<double> electrode;                    // electrode temperature [C]
  std::vector<double> wet_share;                    // area mean of the wet coverage of the contact [-]
  std::vector<double> eschar_share;                 // area mean of the eschar coverage [-]
  std::vector<std::vector<double>> greatest_depth;  // per effect, then per step [m]
};

struct ProbeRecord {
  std::string name;
  std::vector<double> time;         // [s], as the trace
  std::vector<double> temperature;  // [C]
  std::vector<double> omega;        // of damage pair 0 [-]
};

// When and where a mode first passed the temperature up to which the model knows tissue (hottest_known): at the end of
// the step that did so, the centre of its hottest cell.
struct RangePassing {
  double time = not_a_time;  // [s]
  double r = not_a_time;     // [m]
  double z = not_a_time;     // [m]
  bool happened() const { return !std::isnan(time); }
};

struct EffectRecord {
  std::string name;
  double depth = 0;         // greatest over r [m]
  double axis_depth = 0;    // on the axis or plane [m]
  double half_width = 0;    // at the surface [m]
  double volume = 0;        // [m3]
  bool past_range = false;  // the depth changed after the mode had passed hottest_known, and so rests on it
};

// Relative residuals of the three ledgers over the whole run.
struct LedgerRecord {
  double electric = 0;  // greatest over the steps of |power in - volume - surface heating| / power in
  double energy = 0;    // |in - stored - latent - lost| / in, in with what came through the boundaries
  double water = 0;     // |initial - left - boiled off| / initial
  // the terms, so that the residuals can be repeated [J], [kg]
  double electric_in = 0, surface_in = 0, stored = 0, latent = 0, perfusion_out = 0, surface_out = 0, electrode_out = 0,
         far_out = 0, spark_out = 0, metabolic_in = 0, steam_out = 0;
  double water_start = 0, water_left = 0, water_boiled = 0;
  double pressed_out = 0;                                           // water [kg]
  double pressed_heat_out = 0;                                      // with it, counted from the boiling point [J]
  double vapour_condensed = 0, vapour_refused = 0, steam_kept = 0;  // within the tissue [kg]
};

struct ModeRecord {
  std::string name;
  std::string label;  // for people
  bool completed = false;
  int steps = 0;
  int rejected_steps = 0;
  long electric_solves = 0;
  long electric_iterations = 0;  // of the linear solver, summed
  double crest_factor = 0;
  std::vector<EffectRecord> effects;
  double resistance_start = 0, resistance_least = 0, resistance_end = 0;  // while the current is on [ohm]
  double delivered = 0;                                                   // [J]
  double surface = 0;           // of it, in the contact layer and the sparks [J]
  double arcing = not_a_time;   // first time more than arcing_from enters through spark feet [s]
  double dry_out = not_a_time;  // first time the wet coverage of the contact has fallen below 5 % [s]
  double peak_temperature = 0;  // [C]
  RangePassing past_range;
  LedgerRecord ledger;
  Trace trace;
  std::vector<ProbeRecord> probes;
};

struct ModeCheckpoint;

// Called by the simulation; any may be empty. Calls for one mode come in time order from one thread; calls for
// different modes may come from different threads at once.
struct Observer {
  std::function<void(int mode, const Frame&)> frame;
  std::function<void(int mode, double time, double end)> progress;
  std::function<void(int mode, const ModeCheckpoint&)> checkpoint;  // of every mode that `stop` has ended early, once
  const std::atomic<bool>* stop = nullptr;  // set to end the run early; modes then come back with completed = false
};

}  // namespace dryfront
