#include "physics/spectrum.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>
#include <string>

namespace dryfront {

namespace {

using Complex = std::complex<double>;
using std::numbers::pi;

constexpr int most_lines = 20000;
constexpr Complex i{0, 1};

double sinc(double x) { return std::abs(x) < 1e-8 ? 1.0 : std::sin(x) / x; }

// Cycles of the carrier in a burst.
double whole_cycles(const Waveform& waveform) {
  constexpr double rounding = 1e-6;
  const double cycles = waveform.duty * waveform.carrier / waveform.repeat, whole = std::round(cycles);
  if (whole >= 1 && std::abs(cycles - whole) <= rounding * whole) return whole;
  throw std::invalid_argument("a burst of " + std::to_string(cycles) +
                              " cycles, duty x carrier / repetitions, has no spectrum of whole cycles");
}

// By order m, of amplitude one.
using Coefficient = std::function<Complex(int)>;

// With 1 - e^(-i mu n/f) = 1 - e^(i (w - mu) n/f), so that nothing is lost near the carrier.
Coefficient of_gated(const Waveform& waveform) {
  const double burst = whole_cycles(waveform) / waveform.carrier, carrier = 2 * pi * waveform.carrier;
  const double period = 1 / waveform.repeat;
  return [=](int m) {
    const double mu = 2 * pi * m / period, angle = (carrier - mu) * burst;
    return -i * carrier * (burst / period) * std::polar(1.0, 0.5 * angle) * sinc(0.5 * angle) / (carrier + mu);
  };
}

Coefficient of_damped(const Waveform& waveform) {
  const double carrier = 2 * pi * waveform.carrier, period = 1 / waveform.repeat, decay = 1 / waveform.decay;
  return [=](int m) {
    const Complex p{decay, 2 * pi * m / period};
    const double end = std::exp(-decay * period);
    const Complex rest = 1.0 - end * (std::cos(carrier * period) + p / carrier * std::sin(carrier * period));
    return carrier / period * rest / (p * p + carrier * carrier);
  };
}

// int of a straight line from a to b over a length h, times e^(-i u) along it with u rising by `turn`.
Complex line_integral(double a, double b, double h, double start, double turn) {
  const Complex begin = std::polar(1.0, -start);
  if (std::abs(turn) < 1e-4) {
    return h * begin * (0.5 * (a + b) - i * turn * (a / 6 + b / 3) - turn * turn * (a / 24 + b / 8));
  }
  const Complex end = std::polar(1.0, -turn);
  return h * begin * ((a - b * end) / (i * turn) + (b - a) * (1.0 - end) / (i * turn * i * turn));
}

Coefficient of_sampled(const Waveform& waveform) {
  return [&waveform](int m) {
    const double period = waveform.time.back() - waveform.time.front();
    Complex sum = 0;
    for (std::size_t k = 0; k + 1 < waveform.time.size(); ++k) {
      const double h = waveform.time[k + 1] - waveform.time[k];
      sum += line_integral(waveform.voltage[k], waveform.voltage[k + 1], h,
                           2 * pi * m * (waveform.time[k] - waveform.time.front()) / period, 2 * pi * m * h / period);
    }
    return sum / period;
  };
}

double peak_of_samples(const Waveform& waveform) {
  double peak = 0;
  for (const double v : waveform.voltage) peak = std::max(peak, std::abs(v));
  return peak;
}

// Rms value of the waveform as the coefficients have it.
double rms_of(const Waveform& waveform) {
  const double crest = crest_factor(waveform);
  if (waveform.kind == WaveformKind::sampled) return peak_of_samples(waveform) / crest;
  if (waveform.kind == WaveformKind::gated) return std::sqrt(0.5 * waveform.duty);
  const double damping = 1 / (2 * pi * waveform.carrier * waveform.decay);
  const double phase = std::min(std::atan2(1.0, damping), 2 * pi * waveform.carrier / waveform.repeat);
  return std::exp(-damping * phase) * std::sin(phase) / crest;
}

Coefficient coefficient_of(const Waveform& waveform) {
  if (waveform.kind == WaveformKind::gated) return of_gated(waveform);
  return waveform.kind == WaveformKind::damped ? of_damped(waveform) : of_sampled(waveform);
}

double base_frequency(const Waveform& waveform) {
  if (waveform.kind != WaveformKind::sampled) return waveform.repeat;
  return 1 / (waveform.time.back() - waveform.time.front());
}

}  // namespace

void require_spectrum(const Waveform& waveform) {
  crest_factor(waveform);  // refuses a waveform that cannot be
  if (waveform.kind == WaveformKind::gated) whole_cycles(waveform);
}

Spectrum spectrum(const Waveform& waveform, double share) {
  require_spectrum(waveform);
  if (waveform.kind == WaveformKind::continuous) return {{{waveform.carrier, 1.0}}, 0};
  const Coefficient coefficient = coefficient_of(waveform);
  const double rms = rms_of(waveform), base = base_frequency(waveform);
  Spectrum found;
  found.left_out = 1;
  for (int m = 0; m <= most_lines && found.left_out > share; ++m) {
    // A sine has the coefficient -i/2; both sides of the spectrum make one line, but for the mean.
    const Complex line = m == 0 ? coefficient(0) / rms : std::numbers::sqrt2 * i * coefficient(m) / rms;
    found.left_out -= std::norm(line);
    if (m > 0 || std::norm(line) > 1e-24) found.lines.push_back({m * base, line});
  }
  found.left_out = std::max(0.0, found.left_out);
  return found;
}

}  // namespace dryfront
