// Crest factors and the striking function. Sources: elementary for the gated sine, own derivations for the damped train
// and the strike, with their formulas in tests/reference/exact_values.json (W1, W2, W3).
#include "physics/waveform.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "../reference/exact_values.hpp"

using namespace dryfront;
using nlohmann::json;
using std::numbers::pi;

namespace {

Waveform continuous() { return {}; }

Waveform gated(double duty) {
  Waveform waveform;
  waveform.kind = WaveformKind::gated;
  waveform.duty = duty;
  return waveform;
}

Waveform damped(double carrier, double decay, double repeat) {
  Waveform waveform;
  waveform.kind = WaveformKind::damped;
  waveform.carrier = carrier;
  waveform.decay = decay;
  waveform.repeat = repeat;
  return waveform;
}

Waveform sampled(std::vector<double> time, std::vector<double> voltage) {
  Waveform waveform;
  waveform.kind = WaveformKind::sampled;
  waveform.time = std::move(time);
  waveform.voltage = std::move(voltage);
  return waveform;
}

double damped_sine(const Waveform& waveform, double t) {
  return std::exp(-t / waveform.decay) * std::sin(2 * pi * waveform.carrier * t);
}

Waveform sampled_damped_sine(const Waveform& like, int samples) {
  std::vector<double> time, voltage;
  for (int i = 0; i < samples; ++i) {
    time.push_back(i / (like.repeat * (samples - 1)));
    voltage.push_back(damped_sine(like, time.back()));
  }
  return sampled(time, voltage);
}

// The definition of the striking function, marched through one repetition in small steps.
double marched_fraction(const Waveform& waveform, double x) {
  constexpr int steps = 400000;
  const double dt = 1 / (waveform.repeat * steps);
  double peak = 0;
  for (int i = 0; i < steps; ++i) peak = std::max(peak, std::abs(damped_sine(waveform, (i + 0.5) * dt)));
  double all = 0, conducted = 0, before = 0;
  bool conducts = false;
  for (int i = 0; i < steps; ++i) {
    const double v = damped_sine(waveform, (i + 0.5) * dt);
    if (v * before <= 0) conducts = false;
    if (std::abs(v) >= x * peak) conducts = true;
    all += v * v;
    if (conducts) conducted += v * v;
    before = v;
  }
  return conducted / all;
}

// Mean of the striking fraction over x (1 -+ spread), by Simpson's rule between the places where it jumps; it falls to
// each of them like a square root, which the substitution y = b - (b - a) s^2 makes smooth.
double averaged_fraction(const Waveform& waveform, const std::vector<double>& jumps, double x, double spread) {
  const double low = x * (1 - spread);
  const double high = x * (1 + spread);
  std::vector<double> cuts = {low, std::min(high, 1.0)};
  for (const double jump : jumps) {
    if (jump > low && jump < std::min(high, 1.0)) cuts.push_back(jump);
  }
  std::sort(cuts.begin(), cuts.end());
  double integral = 0;
  for (std::size_t k = 0; k + 1 < cuts.size(); ++k) {
    const double a = cuts[k], b = cuts[k + 1];
    constexpr int parts = 64;
    double sum = 0;
    for (int i = 1; i <= parts; ++i) {  // s = 0 has weight zero
      const double s = static_cast<double>(i) / parts;
      const double weight = i == parts ? 1 : (i % 2 == 1 ? 4 : 2);
      // just inside, so that rounding does not pick the other side of a jump
      const double y = std::max(b - (b - a) * s * s, a + 1e-13);
      sum += weight * striking_fraction(waveform, y) * 2 * (b - a) * s;
    }
    integral += sum / (3 * parts);
  }
  return integral / (high - low);
}

}  // namespace

TEST_CASE("crest factor of a gated sine is sqrt(2/duty)") {
  const json check = exact_values("W1");
  for (const auto& [name, value] : check.at("values").items()) {
    CAPTURE(name);
    const double duty = value.at("duty");
    CHECK(crest_factor(gated(duty)) == Approx(value.at("crest_factor").get<double>()).epsilon(1e-12));
  }
  CHECK(crest_factor(continuous()) == Approx(std::numbers::sqrt2).epsilon(1e-15));
  // Crest factors quoted for duties of 6 % and 4 %: 5-7 and about 7 (common practice, no source).
  CHECK(crest_factor(gated(0.06)) == Approx(5.7735).epsilon(1e-4));
  CHECK(crest_factor(gated(0.04)) == Approx(7.0711).epsilon(1e-4));
}

TEST_CASE("crest factor of a damped sine train") {
  const json check = exact_values("W2");
  const json& p = check.at("parameters");
  const Waveform waveform = damped(p.at("f"), p.at("tau"), 1 / p.at("T").get<double>());
  CHECK(crest_factor(waveform) == Approx(check.at("values").at("crest_factor").get<double>()).epsilon(1e-10));

  SECTION("without decay, over whole half cycles, it is the sine's") {
    CHECK(crest_factor(damped(400e3, 1e6, 40e3)) == Approx(std::numbers::sqrt2).epsilon(1e-8));
  }
  SECTION("a burst begun again before its first peak ends at its highest") {
    const Waveform cut = damped(400e3, 5e-6, 4e6);
    CHECK(crest_factor(cut) == Approx(crest_factor(sampled_damped_sine(cut, 20001))).epsilon(1e-6));
  }
}

TEST_CASE("striking fraction of one sine amplitude") {
  const json values = exact_values("W3").at("values").at("single_amplitude");
  for (const auto& [b, value] : values.items()) {
    CAPTURE(b);
    const double exact = value.at("energy_fraction");
    CHECK(striking_fraction(continuous(), std::stod(b)) == Approx(exact).epsilon(1e-10));
    CHECK(striking_fraction(gated(0.06), std::stod(b)) == Approx(exact).epsilon(1e-10));
  }
  CHECK(striking_fraction(continuous(), 0) == 1);
  CHECK(striking_fraction(continuous(), 1) == 0);
  CHECK(striking_fraction(continuous(), 7) == 0);
}

TEST_CASE("striking fraction of a damped sine train") {
  const json check = exact_values("W3");
  const json exact = check.at("values").at("damped_train_exact");
  const json train = exact_values("W2");
  // The reference lets one burst die out; repeated 10,000 times a second it does, to e^-50 of its energy.
  const Waveform waveform = damped(exact.at("f"), exact.at("tau"), 1e4);
  const double peak = train.at("values").at("V_peak");
  CHECK(striking_fraction(waveform, exact.at("Vb").get<double>() / peak) ==
        Approx(exact.at("energy_fraction").get<double>()).epsilon(1e-10));

  SECTION(
      "with many cycles per time constant it tends to the slow-envelope formula, with the first power of 1/(f tau)") {
    for (const auto& [b, limit] : check.at("values").at("damped_envelope_slow_limit").items()) {
      CAPTURE(b);
      double error[2];
      for (int i = 0; i < 2; ++i) {
        const double cycles = i == 0 ? 2000 : 20000;  // per time constant
        const Waveform slow = damped(500e3, cycles / 500e3, 500e3 / (20 * cycles));
        const double first_peak = std::exp(-1 / (4 * cycles));
        error[i] = std::abs(striking_fraction(slow, std::stod(b) / first_peak) - limit.get<double>());
      }
      CHECK(error[0] < 2e-3);
      CHECK(error[1] < 2e-4);
    }
  }
  SECTION("bursts that do not end with a half cycle, against marching through the definition") {
    for (const double repeat : {30e3, 300e3, 370e3, 1.1e6}) {
      const Waveform cut = damped(400e3, 5e-6, repeat);
      for (const double x : {0.0, 0.1, 0.3, 0.55, 0.7, 0.9, 0.99}) {
        CAPTURE(repeat, x);
        CHECK(striking_fraction(cut, x) == Approx(marched_fraction(cut, x)).margin(3e-5));
      }
      CHECK(striking_fraction(cut, 1) == 0);
    }
  }
}

TEST_CASE("a sampled waveform is straight between its samples") {
  SECTION("triangle: crest factor sqrt 3, f = 1 - x^3/2, wherever the record begins") {
    const Waveform shapes[] = {sampled({0, 1, 2, 3, 4}, {0, 1, 0, -1, 0}), sampled({0, 0.5, 2.5, 4}, {0.5, 1, -1, 0.5}),
                               sampled({7, 9, 11}, {-40, 40, -40})};
    for (const Waveform& triangle : shapes) {
      CHECK(crest_factor(triangle) == Approx(std::sqrt(3.0)).epsilon(1e-14));
      for (const double x : {0.0, 0.2, 0.5, 0.9, 0.999}) {
        CHECK(striking_fraction(triangle, x) == Approx(1 - x * x * x / 2).epsilon(1e-13));
      }
      CHECK(striking_fraction(triangle, 1) == 0);
    }
  }
  SECTION("a rise with a dip strikes at the first passage") {
    // 0 1/2 1/4 1 0, mirrored: energies of the pieces over 1/3: 1/4, 7/16, 21/16, 1; all 3.
    const Waveform dip = sampled({0, 1, 2, 3, 4, 5, 6, 7, 8}, {0, 2, 1, 4, 0, -2, -1, -4, 0});
    CHECK(striking_fraction(dip, 0.25) == Approx(1 - 0.03125 / 3).epsilon(1e-13));
    CHECK(striking_fraction(dip, 0.5 - 1e-12) == Approx(2.75 / 3).epsilon(1e-10));
    const double struck_at_half = (21.0 / 16 * (1 - 0.125) / (1 - 1.0 / 64) + 1) / 3;
    CHECK(striking_fraction(dip, 0.5) == Approx(struck_at_half).epsilon(1e-13));
  }
  SECTION("square: all or nothing") {
    const Waveform square = sampled({0, 1, 1.000001, 2}, {5, 5, -5, -5});
    CHECK(crest_factor(square) == Approx(1).epsilon(1e-6));
    CHECK(striking_fraction(square, 0.999) == Approx(1).epsilon(1e-6));
  }
  SECTION("of one polarity: an arc once struck stays") {
    const Waveform direct = sampled({0, 1, 2}, {1, 2, 1});
    CHECK(striking_fraction(direct, 0.9) == 1);
    CHECK(striking_fraction(direct, 1) == 0);
  }
  SECTION("samples of a damped sine give what its closed form gives") {
    const Waveform exact = damped(500e3, 4e-6, 30e3);
    const Waveform samples = sampled_damped_sine(exact, 40001);
    CHECK(crest_factor(samples) == Approx(crest_factor(exact)).epsilon(1e-6));
    for (const double x : {0.05, 0.2, 0.5, 0.8}) {
      CHECK(striking_fraction(samples, x) == Approx(striking_fraction(exact, x)).margin(2e-5));
    }
  }
}

TEST_CASE("the striking table holds the average over the spread") {
  const double damping = 1 / (2 * pi * 400e3 * 5e-6);
  std::vector<double> peaks;
  for (int k = 0; k < 26; ++k) peaks.push_back(std::exp(-pi * damping * k));
  const std::pair<Waveform, std::vector<double>> shapes[] = {{continuous(), {1}}, {damped(400e3, 5e-6, 30e3), peaks}};
  for (const auto& [waveform, jumps] : shapes) {
    for (const double spread : {0.02, 0.2, 0.5}) {
      const StrikingTable table(waveform, spread);
      CHECK(table.never() == Approx(1 / (1 - spread)).epsilon(1e-14));
      double worst = 0;
      for (int i = 1; i < 90; ++i) {
        // an irrational ratio, so as not to meet the nodes
        const double x = table.never() * std::fmod(i * std::numbers::phi, 1.0);
        worst = std::max(worst, std::abs(table(x) - averaged_fraction(waveform, jumps, x, spread)));
      }
      CAPTURE(static_cast<int>(waveform.kind), spread, table.size());
      CHECK(worst < 1e-5);
    }
  }
}

TEST_CASE("the striking table falls, is continuous and agrees with its slope") {
  const Waveform exact = damped(400e3, 5e-6, 30e3);
  for (const Waveform& waveform : {continuous(), exact, sampled_damped_sine(exact, 3001)}) {
    for (const double spread : {0.0, 0.2}) {
      const StrikingTable table(waveform, spread);
      CHECK(table(0) == 1);
      double before = 1;
      int rises = 0, steep = 0;
      const int points = 200000;
      const double dx = table.never() / points;
      for (int i = 1; i <= points; ++i) {
        const double x = i * dx;
        const double value = table(x);
        if (value > before) ++rises;
        // convex or concave, the change over a step lies between slopes seen on it; where only one is seen it is exact
        const double slope = table.slope(x - dx);
        if (slope == table.slope(x) && std::abs(value - before - slope * dx) > 1e-11) ++steep;
        before = value;
      }
      CHECK(rises == 0);
      CHECK(steep == 0);
      CHECK(before == 0);
    }
  }
}

TEST_CASE("the striking table at the ends of its range") {
  const StrikingTable table(continuous(), 0.2);
  CHECK(table(table.never()) == 0);
  CHECK(table(std::nextafter(table.never(), 0.0)) < 1e-9);
  CHECK(table(INFINITY) == 0);
  CHECK(table.slope(INFINITY) == 0);
  CHECK(std::isnan(table(NAN)));
  CHECK(StrikingTable()(0) == 0);
  // Without a spread: the sharp function, save within 1e-4 of its jump.
  const StrikingTable sharp(continuous(), 0);
  for (const double x : {0.1, 0.5, 0.9, 0.99}) {
    CHECK(sharp(x) == Approx(striking_fraction(continuous(), x)).margin(1e-5));
  }
  CHECK(sharp(1.0002) == 0);
}

TEST_CASE("waveforms that cannot be are refused") {
  CHECK_THROWS_AS(crest_factor(gated(0)), std::invalid_argument);
  CHECK_THROWS_AS(crest_factor(gated(1.5)), std::invalid_argument);
  CHECK_THROWS_AS(crest_factor(damped(400e3, 0, 30e3)), std::invalid_argument);
  CHECK_THROWS_AS(crest_factor(sampled({0}, {1})), std::invalid_argument);
  CHECK_THROWS_AS(crest_factor(sampled({0, 1, 1}, {0, 1, -1})), std::invalid_argument);
  CHECK_THROWS_AS(crest_factor(sampled({0, 1, 2}, {0, NAN, -1})), std::invalid_argument);
  CHECK_THROWS_AS(striking_fraction(sampled({0, 1, 2}, {0, 0, 0}), 0.5), std::invalid_argument);
  CHECK_THROWS_AS(StrikingTable(continuous(), 1), std::invalid_argument);
  CHECK_THROWS_AS(StrikingTable(continuous(), -0.1), std::invalid_argument);
}
