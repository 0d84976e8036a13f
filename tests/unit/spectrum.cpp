// Spectra of the waveforms. Exact: the coefficients of a gated sine for a whole number of cycles a repetition, A M
// |sin(pi m n/M)|/(pi |M^2 - m^2|) and A n/(2 M) at the carrier (elementary); Parseval's identity; a damped train
// against Boost's quadrature of its Fourier integral; a sampled record against the shape it was sampled from.
#include "physics/spectrum.hpp"

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace dryfront;
using std::numbers::pi;

namespace {

Waveform gated(double cycles, double of) {
  Waveform waveform;
  waveform.kind = WaveformKind::gated;
  waveform.repeat = 30e3;
  waveform.carrier = of * waveform.repeat;
  waveform.duty = cycles / of;
  return waveform;
}

Waveform damped() {
  Waveform waveform;
  waveform.kind = WaveformKind::damped;
  waveform.carrier = 400e3;
  waveform.repeat = 30e3;
  waveform.decay = 5e-6;
  return waveform;
}

double mean_square(const Spectrum& found) {
  double sum = 0;
  for (const Harmonic& line : found.lines) sum += std::norm(line.rms);
  return sum;
}

}  // namespace

TEST_CASE("a continuous waveform has one line, at its carrier, in phase with a sine") {
  const Spectrum found = spectrum(Waveform{});
  REQUIRE(found.lines.size() == 1);
  CHECK(found.lines[0].frequency == 400e3);
  CHECK(found.lines[0].rms == std::complex<double>(1, 0));
}

TEST_CASE("bursts of whole cycles have the coefficients of the closed form") {
  for (const auto& [n, of] : {std::pair{1, 13}, std::pair{3, 13}, std::pair{7, 14}, std::pair{13, 13}}) {
    const Spectrum found = spectrum(gated(n, of));
    const double rms = std::sqrt(0.5 * n / of);  // of amplitude one
    for (const Harmonic& line : found.lines) {
      const double m = std::round(line.frequency / 30e3), M = of;
      const double one_side =
          m == M ? n / (2 * M) : M * std::abs(std::sin(pi * m * n / M)) / (pi * std::abs(M * M - m * m));
      CAPTURE(n, of, m);
      CHECK(std::abs(line.rms) == Approx(std::numbers::sqrt2 * one_side / rms).epsilon(1e-9).margin(1e-9));
    }
    CHECK(mean_square(found) == Approx(1).epsilon(2e-8));
    CHECK(found.left_out <= 1e-8);
  }
}

TEST_CASE("a damped train has the coefficients of its Fourier integral") {
  const Waveform waveform = damped();
  const Spectrum found = spectrum(waveform);
  const double period = 1 / waveform.repeat, w = 2 * pi * waveform.carrier;
  const auto v = [&](double t) { return std::exp(-t / waveform.decay) * std::sin(w * t); };
  using Quadrature = boost::math::quadrature::gauss_kronrod<double, 61>;
  const double square = Quadrature::integrate([&](double t) { return v(t) * v(t); }, 0.0, period, 15, 1e-13);
  const double rms = std::sqrt(square / period);
  for (const int m : {0, 1, 7, 13, 14, 60}) {
    const auto of = [&](auto trigonometric) {
      return Quadrature::integrate([&](double t) { return v(t) * trigonometric(2 * pi * m * t / period); }, 0.0, period,
                                   15, 1e-13) /
             period;
    };
    const std::complex<double> c(of([](double x) { return std::cos(x); }), -of([](double x) { return std::sin(x); }));
    const std::complex<double> expected = m == 0 ? c / rms : std::complex<double>(0, std::numbers::sqrt2) * c / rms;
    const Harmonic& line = found.lines[static_cast<std::size_t>(m)];
    CAPTURE(m);
    CHECK(line.frequency == Approx(m * 30e3));
    CHECK(std::abs(line.rms - expected) < 1e-9);
  }
  CHECK(mean_square(found) == Approx(1).epsilon(2e-8));
}

TEST_CASE("a sampled record has the spectrum of the shape it was sampled from") {
  const Waveform burst = gated(3, 13);
  Waveform sampled;
  sampled.kind = WaveformKind::sampled;
  constexpr int samples = 13 * 400;
  for (int k = 0; k <= samples; ++k) {
    const double t = k / (burst.repeat * samples);
    sampled.time.push_back(t);
    sampled.voltage.push_back(t <= 3 / burst.carrier ? 7 * std::sin(2 * pi * burst.carrier * t) : 0.0);
  }
  const Spectrum found = spectrum(sampled, 1e-6), exact = spectrum(burst, 1e-6);
  for (std::size_t k = 0; k < 40; ++k) CHECK(std::abs(found.lines[k].rms - exact.lines[k].rms) < 5e-5);
}

TEST_CASE("a burst that is no whole number of cycles has no spectrum") {
  CHECK_THROWS_AS(spectrum(gated(0.8, 13)), std::invalid_argument);
  CHECK_THROWS_AS(spectrum(gated(2.5, 13)), std::invalid_argument);
  CHECK_NOTHROW(spectrum(gated(2, 13.4)));
}
