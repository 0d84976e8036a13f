#include "simulation/ledger.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

Ledger& Ledger::operator+=(const Ledger& step) {
  electric_in += step.electric_in;
  surface_in += step.surface_in;
  beyond_out += step.beyond_out;
  spark_out += step.spark_out;
  metabolic_in += step.metabolic_in;
  air_out += step.air_out;
  electrode_out += step.electrode_out;
  far_out += step.far_out;
  perfusion_out += step.perfusion_out;
  latent += step.latent;
  steam_out += step.steam_out;
  vapour_condensed += step.vapour_condensed;
  vapour_refused += step.vapour_refused;
  steam_kept += step.steam_kept;
  water_boiled += step.water_boiled;
  pressed_out += step.pressed_out;
  pressed_heat_out += step.pressed_heat_out;
  worst_electric = std::max(worst_electric, step.worst_electric);
  return *this;
}

void add_electric(const State& now, const State& next, double dt, Ledger& ledger) {
  const auto mean = [&](double before, double after) { return 0.5 * dt * (before + after); };
  ledger.electric_in += mean(now.electric.power, next.electric.power);
  ledger.surface_in += mean(now.electric.surface_power, next.electric.surface_power);
  ledger.beyond_out += mean(now.electric.beyond_power, next.electric.beyond_power);
  ledger.spark_out += mean(now.spark_loss, next.spark_loss);
  const double shared = next.electric.volume_power + next.electric.surface_power + next.electric.beyond_power;
  const double residual = std::abs(next.electric.rms * next.electric.inflow - shared) / next.electric.power;
  ledger.worst_electric = std::max(ledger.worst_electric, residual);
}

LedgerRecord closed(const Ledger& run, const Stored& start, const Stored& end) {
  LedgerRecord balance;
  balance.electric = run.worst_electric;
  balance.electric_in = run.electric_in;
  balance.surface_in = run.surface_in;
  balance.metabolic_in = run.metabolic_in;
  balance.stored = end.heat - start.heat;
  balance.latent = run.latent;
  balance.steam_out = run.steam_out;
  balance.vapour_condensed = run.vapour_condensed;
  balance.vapour_refused = run.vapour_refused;
  balance.steam_kept = run.steam_kept;
  balance.pressed_out = run.pressed_out;
  balance.pressed_heat_out = run.pressed_heat_out;
  balance.perfusion_out = run.perfusion_out;
  balance.surface_out = run.air_out;
  balance.electrode_out = run.electrode_out;
  balance.far_out = run.far_out + run.beyond_out;
  balance.spark_out = run.spark_out;
  const double outlets[] = {balance.perfusion_out, balance.surface_out, balance.electrode_out, balance.far_out};
  const double in = balance.electric_in + balance.metabolic_in;
  double out = balance.stored + balance.latent + balance.steam_out + balance.pressed_heat_out + balance.spark_out;
  double turnover = in;  // with what came in through the boundaries: a held electrode may be the only source
  for (double outlet : outlets) {
    out += outlet;
    turnover += std::max(0.0, -outlet);
  }
  balance.energy = turnover > 0 ? std::abs(in - out) / turnover : std::abs(out);
  balance.water_start = start.water;
  balance.water_left = end.water;
  balance.water_boiled = run.water_boiled;
  balance.water = std::abs(balance.water_start - balance.water_left - balance.water_boiled - balance.pressed_out) /
                  balance.water_start;
  return balance;
}

}  // namespace dryfront
