// Thermal damage: Arrhenius integrals of any kinetic pair, and the equivalent minutes at 43 C.
//
// Over a step the temperature of a cell is taken to go linearly in time from its old to its new value, and the
// integrals over that ramp are exact: the rate varies by orders of magnitude inside a step, so that neither of its ends
// will do.
#pragma once

#include <span>

namespace dryfront {

inline constexpr double gas_constant = 8.314462618;  // R_g [J/(mol K)], CODATA 2018
inline constexpr double ice_point = 273.15;          // 0 C [K]

// dOmega/dt = exp(ln_frequency - energy_over_R/T_K), counted only at and above `floor`. The logarithm, because a
// frequency factor may be as great as 1e124 1/s.
struct DamagePairRates {
  double ln_frequency = 0;   // ln(A in 1/s) [-]
  double energy_over_R = 0;  // E/R_g [K]
  double floor = 43;         // [C]
};

// From A [1/s], E [J/mol] and the floor [C]. Throws std::invalid_argument unless A > 0, E >= 4e4 J/mol (below, the
// closed form of the ramp is no longer accurate; denaturation of proteins has several times that) and the floor is
// above absolute zero.
DamagePairRates damage_rates(double frequency, double energy, double floor);

// The rate at a temperature [C]   [1/s]
double arrhenius_rate(const DamagePairRates& pair, double temperature);

// Increase of Omega while the temperature goes linearly from T0 to T1 [C] within dt [s]; x = E/(R_g T_K):
//   dt/(T1 - T0) [ T_K rate pi(x) ]_{T0}^{T1},  pi(x) = e^x E_2(x), clipped at the floor.
// Relative error below 1e-6 up to 500 C for the pairs in use (E >= 2e5 J/mol), below 1e-4 at the smallest energy
// allowed.
// Source: temperature integral by a rational function, G. I. Senum and R. T. Yang, J. Thermal Anal. 11 (1977) 445
// (abstract; its coefficients are those of the continued fraction of E_2, and a test compares with quadrature).
// [-]
double damage_over_ramp(const DamagePairRates& pair, double T0, double T1, double dt);

// Rate of equivalent time at a temperature [C]: R^(43 - T), R = 0.5 at and above 43 C, 0.25 from 39 C to 43 C, no dose
// below 39 C. Above 1000 C as at 1000 C, which keeps sums finite.
// Source: S. A. Sapareto and W. C. Dewey, Int. J. Radiat. Oncol. Biol. Phys. 10 (1984) 787 (abstract).   [-]
double cem43_rate(double temperature);

// Equivalent minutes at 43 C of a linear ramp from T0 to T1 [C] within dt [s], in closed form.   [min]
double cem43_over_ramp(double T0, double T1, double dt);

// Adds the increase over one step to a field, cell by cell; the spans have equal lengths.
void accumulate_damage(const DamagePairRates& pair, std::span<const double> T0, std::span<const double> T1, double dt,
                       std::span<double> omega);
void accumulate_cem43(std::span<const double> T0, std::span<const double> T1, double dt, std::span<double> cem43);

}  // namespace dryfront
