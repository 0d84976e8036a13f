// The spectrum of a waveform that repeats: what a linear circuit answers to, harmonic by harmonic.
#pragma once

#include <complex>
#include <vector>

#include "physics/waveform.hpp"

namespace dryfront {

// One line of a spectrum. Its phase counts from a sine that begins with the repetition.
struct Harmonic {
  double frequency = 0;          // [Hz]
  std::complex<double> rms = 0;  // phasor of the line's rms value, of a waveform whose rms value is one [-]
};

struct Spectrum {
  std::vector<Harmonic> lines;  // rising in frequency, beginning with the mean where there is one
  double left_out = 0;          // share of the mean square that lies beyond the last line [-]
};

// The lines of a waveform until all but `share` of its mean square is in them, 20,000 at most. With T the repetition,
// m the order and A the amplitude, two-sided coefficients
//   continuous  one line
//   gated       n whole cycles of the carrier in every T: c_m = (A/T) int_0^(n/f) sin(2 pi f t) e^(-2 pi i m t/T) dt;
//               for M = f T whole, |c_m| = A M |sin(pi m n/M)|/(pi |M^2 - m^2|), and A n/(2 M) at m = M
//   damped      c_m = (A w/T)(1 - e^(-p T)(cos w T + (p/w) sin w T))/(p^2 + w^2), p = 1/tau + 2 pi i m/T, w = 2 pi f
//   sampled     the straight lines between the samples, integrated exactly
// Throws std::invalid_argument as crest_factor, and for bursts that are no whole number of cycles.
Spectrum spectrum(const Waveform& waveform, double share = 1e-8);

// Throws std::invalid_argument for a waveform that spectrum() refuses.
void require_spectrum(const Waveform& waveform);

}  // namespace dryfront
