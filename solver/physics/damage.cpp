#include "physics/damage.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <stdexcept>

namespace dryfront {

namespace {

// e^x E_2(x) as the fourth convergent of 1/(x + 2 - 2/(x + 4 - 6/(x + 6 - 12/(x + 8)))).
double scaled_exponential_integral(double x) {
  return (((x + 18) * x + 86) * x + 96) / ((((x + 20) * x + 120) * x + 240) * x + 120);
}

// sinh(u)/u.
double hyperbolic_sinc(double u) {
  const double s = u * u;
  if (s < 0.01) return 1 + s / 6 * (1 + s / 20 * (1 + s / 42 * (1 + s / 72)));
  return std::sinh(u) / u;
}

// int_a^b 2^(per_C (T - 43)) dT, a <= b.
double power_integral(double per_C, double a, double b) {
  const double half = 0.5 * (b - a);
  return 2 * half * std::exp2(per_C * (0.5 * (a + b) - 43)) * hyperbolic_sinc(half * per_C * std::numbers::ln2);
}

constexpr double cem43_cutoff = 39;     // [C]
constexpr double cem43_hottest = 1000;  // [C]

}  // namespace

DamagePairRates damage_rates(double frequency, double energy, double floor) {
  if (!(frequency > 0) || !std::isfinite(frequency)) {
    throw std::invalid_argument("the frequency factor of a damage pair must be positive");
  }
  if (!(energy >= 4e4) || !std::isfinite(energy)) {
    throw std::invalid_argument("the activation energy of a damage pair must be at least 4e4 J/mol");
  }
  if (!(floor > -ice_point)) throw std::invalid_argument("the floor of a damage pair must be above absolute zero");
  return {std::log(frequency), energy / gas_constant, floor};
}

double arrhenius_rate(const DamagePairRates& pair, double temperature) {
  if (temperature < pair.floor) return 0;
  return std::exp(pair.ln_frequency - pair.energy_over_R / (temperature + ice_point));
}

double damage_over_ramp(const DamagePairRates& pair, double T0, double T1, double dt) {
  if (T0 < pair.floor && T1 < pair.floor) return 0;
  const double K0 = std::max(T0, pair.floor) + ice_point;
  const double K1 = std::max(T1, pair.floor) + ice_point;
  const double x0 = pair.energy_over_R / K0;
  const double x1 = pair.energy_over_R / K1;
  const double rate0 = std::exp(pair.ln_frequency - x0);
  const double rate1 = std::exp(pair.ln_frequency - x1);
  // Where the exponent hardly changes the difference below would cancel, and the trapezoid is good to (x1 - x0)^2/12.
  if (std::abs(x1 - x0) < 3e-4) {
    const double share_above = T0 == T1 ? 1.0 : (K1 - K0) / (T1 - T0);
    return dt * share_above * 0.5 * (rate0 + rate1);
  }
  return dt * (K1 * rate1 * scaled_exponential_integral(x1) - K0 * rate0 * scaled_exponential_integral(x0)) / (T1 - T0);
}

double cem43_rate(double temperature) {
  if (temperature < cem43_cutoff) return 0;
  const double above = std::min(temperature, cem43_hottest) - 43;
  return std::exp2(above < 0 ? 2 * above : above);
}

double cem43_over_ramp(double T0, double T1, double dt) {
  const double minutes = dt / 60;
  if (T0 == T1) return minutes * cem43_rate(T0);
  const double low = std::min(T0, T1);
  const double high = std::max(T0, T1);
  if (high < cem43_cutoff) return 0;
  double integral = 0;  // of the rate over the temperature [K]
  if (low < 43) integral += power_integral(2, std::max(low, cem43_cutoff), std::min(high, 43.0));
  if (high > 43) {
    const double a = std::clamp(low, 43.0, cem43_hottest);
    const double b = std::min(high, cem43_hottest);
    integral += power_integral(1, a, b);
  }
  if (high > cem43_hottest) integral += (high - std::max(low, cem43_hottest)) * cem43_rate(cem43_hottest);
  return minutes * integral / (high - low);
}

void accumulate_damage(const DamagePairRates& pair, std::span<const double> T0, std::span<const double> T1, double dt,
                       std::span<double> omega) {
  assert(T0.size() == omega.size() && T1.size() == omega.size());
  for (std::size_t i = 0; i < omega.size(); ++i) omega[i] += damage_over_ramp(pair, T0[i], T1[i], dt);
}

void accumulate_cem43(std::span<const double> T0, std::span<const double> T1, double dt, std::span<double> cem43) {
  assert(T0.size() == cem43.size() && T1.size() == cem43.size());
  for (std::size_t i = 0; i < cem43.size(); ++i) cem43[i] += cem43_over_ramp(T0[i], T1[i], dt);
}

}  // namespace dryfront
