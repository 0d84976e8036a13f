// Conductivity and permittivity of tissues over frequency, by the four-term Cole-Cole model.
#pragma once

#include <array>
#include <span>
#include <string_view>

namespace dryfront {

// One dispersion: d / (1 + (i omega tau)^(1 - alpha)).
struct Dispersion {
  double step = 0;        // of the relative permittivity
  double relaxation = 0;  // tau [s]
  double spread = 0;      // alpha, 0 to 1
};

struct ColeColeTissue {
  std::string_view name;
  double at_high_frequency = 1;       // relative permittivity far above all dispersions
  std::array<Dispersion, 4> terms{};  // from the fastest to the slowest
  double ionic = 0;                   // conductivity far below them [S/m]
};

// Gabriel, Lau and Gabriel 1996, Phys Med Biol 41:2271 (read second-hand), for 10 Hz to 20 GHz and 37 C. Fits to
// scattered measurements, below 1 MHz by a factor of two either way (from memory).
std::span<const ColeColeTissue> cole_cole_tissues();
inline constexpr double least_cole_cole_frequency = 10, greatest_cole_cole_frequency = 20e9;  // [Hz]

struct Dielectric {
  double conductivity = 0;  // [S/m]
  double permittivity = 0;  // relative
  double loss_angle = 0;    // omega eps0 eps_r / sigma: displacement current over conduction current
};

// eps*(omega) = eps_inf + sum_n d_n / (1 + (i omega tau_n)^(1 - alpha_n)) + s / (i omega eps0);
// sigma = -omega eps0 Im eps*, eps_r = Re eps*. `frequency` > 0 [Hz].
Dielectric dielectric_at(const ColeColeTissue& tissue, double frequency);

}  // namespace dryfront
