// The three balances: electric power, energy, water.
#pragma once

#include "simulation/record.hpp"
#include "simulation/state.hpp"

namespace dryfront {

// Terms of the balances, of one step or summed over a run.
struct Ledger {
  double electric_in = 0, surface_in = 0, beyond_out = 0, spark_out = 0, metabolic_in = 0;  // [J]
  double air_out = 0, electrode_out = 0, far_out = 0, perfusion_out = 0, latent = 0;        // [J]
  double water_boiled = 0;                                                                  // [kg]
  double steam_out = 0;  // beside the latent heat, counted from the boiling point: with bound water only [J]
  double vapour_condensed = 0, vapour_refused = 0;  // gained by cells; kept from crossing faces [kg]
  double steam_kept = 0;                            // condensed deeper, not part of water_boiled [kg]
  double pressed_out = 0, pressed_heat_out = 0;     // water, and its heat counted from the boiling point [kg], [J]
  double worst_electric = 0;                        // greatest relative residual of the electric balance [-]

  // Adds every term; of worst_electric the greater one stays.
  Ledger& operator+=(const Ledger& step);
};

// The electric terms of a step of dt [s], by the trapezoidal rule, and their residual at its end: the power is the sum
// of its shares, so what can miss them is the voltage times the current that the potential drives through the face.
void add_electric(const State& now, const State& next, double dt, Ledger& ledger);

// What the specimen holds at one moment.
struct Stored {
  double heat = 0;   // counted from the boiling point [J]
  double water = 0;  // [kg]
};

// The terms of a whole run and the relative residuals of the three balances.
LedgerRecord closed(const Ledger& run, const Stored& start, const Stored& end);

}  // namespace dryfront
