// StruckWaveform against a march through the waveform with many strike voltages, and against closed forms of the sine
// (elementary).
#include "physics/struck_waveform.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

using namespace dryfront;

namespace {

using std::numbers::pi;

Waveform of(WaveformKind kind) {
  Waveform waveform;
  waveform.kind = kind;
  return waveform;
}

Waveform gated(double duty) {
  Waveform waveform = of(WaveformKind::gated);
  waveform.duty = duty;
  return waveform;
}

Waveform damped(double decay, double repeat) {
  Waveform waveform = of(WaveformKind::damped);
  waveform.carrier = 400e3;
  waveform.decay = decay;
  waveform.repeat = repeat;
  return waveform;
}

// |v|/V_peak over one repetition, marched with a channel that strikes, goes out and may strike again; mean over the
// strike voltages at the middles of equal parts of the spread. Twice round, for what is struck across the end.
StruckMoments marched(const std::vector<double>& v, double strike, double drop, double spread) {
  constexpr int voltages = 400;
  StruckMoments sum;
  for (int k = 0; k < voltages; ++k) {
    const double at = strike * (1 - spread + 2 * spread * (k + 0.5) / voltages);
    bool struck = false;
    for (int round = 0; round < 2; ++round) {
      for (double value : v) {
        value = std::abs(value);
        if (value >= at) struck = true;
        if (value <= drop) struck = false;
        if (!struck || round == 0) continue;
        sum.time += 1;
        sum.voltage += value;
        sum.square += value * value;
      }
    }
  }
  const double all = voltages * static_cast<double>(v.size());
  return {sum.time / all, sum.voltage / all, sum.square / all};
}

std::vector<double> samples_of(const std::function<double(double)>& v, double period) {
  constexpr int steps = 40000;
  std::vector<double> values;
  for (int k = 0; k < steps; ++k) values.push_back(v(period * (k + 0.5) / steps));
  double peak = 0;
  for (const double value : values) peak = std::max(peak, std::abs(value));
  for (double& value : values) value /= peak;
  return values;
}

void check_alike(const StruckMoments& exact, const StruckMoments& computed, double allowed) {
  CHECK(computed.time == Approx(exact.time).margin(allowed));
  CHECK(computed.voltage == Approx(exact.voltage).margin(allowed));
  CHECK(computed.square == Approx(exact.square).margin(allowed));
}

}  // namespace

TEST_CASE("a struck sine from a sharp strike voltage to its drop in closed form") {
  for (const double duty : {1.0, 0.06}) {
    const StruckWaveform struck(duty < 1 ? gated(duty) : Waveform{}, 0);
    for (const double strike : {0.2, 0.5, 0.9}) {
      for (const double share : {0.0, 0.4, 0.9}) {
        const double drop = share * strike, in = std::asin(strike), out = pi - std::asin(drop);
        const StruckMoments exact{duty * (out - in) / pi, duty * (std::cos(in) - std::cos(out)) / pi,
                                  duty * (out - in - (std::sin(2 * out) - std::sin(2 * in)) / 2) / (2 * pi)};
        check_alike(exact, struck(strike, drop), 1e-8);
      }
    }
    CHECK(struck(1.01, 0.1).time == 0);
    CHECK_FALSE(struck.strikes(1.01));
    CHECK(struck.strikes(0.99));
  }
}

TEST_CASE("struck moments of damped and sampled waveforms are those of a march") {
  const double carrier = 2 * pi * 400e3;
  for (const double repeat : {30e3, 700e3}) {  // the second cuts its only half cycles short
    const double decay = 4e-6;
    const StruckWaveform struck(damped(decay, repeat), 0.2);
    const auto values = samples_of([&](double t) { return std::exp(-t / decay) * std::sin(carrier * t); }, 1 / repeat);
    for (const double strike : {0.15, 0.5, 0.95, 1.1}) {
      check_alike(marched(values, strike, 0.5 * strike, 0.2), struck(strike, 0.5 * strike), 3e-4);
    }
  }
  // A record with a dip inside a half wave, in which the channel goes out and strikes again or does not.
  Waveform dip = of(WaveformKind::sampled);
  dip.time = {0, 1, 2, 3, 5, 6, 7};
  dip.voltage = {0, 0.8, 0.2, 1, 0, -0.6, 0};
  const StruckWaveform struck(dip, 0.3);
  const auto values = samples_of(
      [&](double t) {
        const auto right = std::upper_bound(dip.time.begin(), dip.time.end(), t) - dip.time.begin();
        const auto i = static_cast<std::size_t>(right - 1);
        const double share = (t - dip.time[i]) / (dip.time[i + 1] - dip.time[i]);
        return dip.voltage[i] + share * (dip.voltage[i + 1] - dip.voltage[i]);
      },
      7);
  for (const double strike : {0.3, 0.6, 0.75, 1.0, 1.2}) {
    for (const double share : {0.02, 0.3, 0.6}) {
      check_alike(marched(values, strike, share * strike, 0.3), struck(strike, share * strike), 3e-4);
    }
  }
  // It never falls to the drop: once struck it stays.
  Waveform direct = of(WaveformKind::sampled);
  direct.time = {0, 1, 2};
  direct.voltage = {0.8, 1, 0.8};
  CHECK(StruckWaveform(direct, 0)(0.9, 0.5).time == Approx(1));
  CHECK(StruckWaveform(direct, 0)(1.1, 0.5).time == 0);
}

TEST_CASE("without a drop the mean square while struck is the striking function") {
  for (const Waveform& waveform : {Waveform{}, gated(0.06), damped(4e-6, 30e3)}) {
    const StruckWaveform struck(waveform, 0.2);
    const StrikingTable striking(waveform, 0.2);
    const double crest = crest_factor(waveform);
    for (const double x : {0.05, 0.3, 0.7, 1.0, 1.2}) {
      CHECK(struck(x, 0).square * crest * crest == Approx(striking(x)).margin(1e-5));
    }
  }
}
