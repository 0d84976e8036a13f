// Power against load, peaks and crest factors: elementary circuit relations, evaluated independently of the program
// (P = min(P_set, I^2 R, V^2/R); P_set 4 R R_m/(R + R_m)^2; crest factor of a gated sine sqrt(2/duty)), to the digits
// given.
#include "physics/power_load.hpp"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "physics/waveform.hpp"

using namespace dryfront;

namespace {

constexpr std::array<double, 6> loads{10, 100, 500, 1000, 2000, 5000};
const double sine = std::sqrt(2.0);

Source source(SourceKind kind) {
  Source result;
  result.kind = kind;
  result.setting = 60;
  return result;
}

void check_powers(const Source& s, const std::array<double, 6>& expected) {
  for (std::size_t k = 0; k < loads.size(); ++k) {
    CAPTURE(loads[k]);
    CHECK(delivered_into(s, loads[k], sine).power == Approx(expected[k]).margin(5e-6));
  }
}

// The point of the curve at a load that has to be one of its own.
LoadPoint point_at(const std::vector<LoadPoint>& curve, double load) {
  for (const LoadPoint& point : curve) {
    if (std::abs(point.load / load - 1) < 1e-9) return point;
  }
  FAIL("no point at " << load << " ohm");
  return {};
}

}  // namespace

TEST_CASE("Watts into ohms of four sources") {
  SECTION("constant power, 1 A, 500 V peak") {
    Source s = source(SourceKind::constant_power);
    s.current_limit = 1;
    s.peak_limit = 500;
    check_powers(s, {10, 60, 60, 60, 60, 25});
  }
  SECTION("unregulated, rated for 500 ohm") {
    Source s = source(SourceKind::unregulated);
    s.rated_load = 500;
    check_powers(s, {4.61361, 33.33333, 60, 53.33333, 38.4, 19.83471});
  }
  SECTION("flat from 100 to 1000 ohm") {
    Source s = source(SourceKind::constant_power);
    s.flat = {100, 1000};
    check_powers(s, {6, 60, 60, 60, 30, 12});
  }
  SECTION("constant power, 190 V peak, 2 A") {
    Source s = source(SourceKind::constant_power);
    s.current_limit = 2;
    s.peak_limit = 190;
    check_powers(s, {40, 60, 36.1, 18.05, 9.025, 3.61});
  }
}

TEST_CASE("Peak voltage of 60 W into 500 ohm by duty") {
  const Source s = source(SourceKind::constant_power);
  const std::array<double, 4> duties{1, 0.5, 0.06, 0.04}, crests{1.414214, 2, 5.773503, 7.071068},
      peaks{244.9490, 346.4102, 1000, 1224.7449};
  for (std::size_t k = 0; k < duties.size(); ++k) {
    Waveform w;
    w.kind = WaveformKind::gated;
    w.carrier = 400e3;
    w.repeat = 4e3;  // whole cycles in every burst
    w.duty = duties[k];
    const double crest = crest_factor(w);
    CAPTURE(duties[k]);
    CHECK(crest == Approx(crests[k]).margin(5e-7));
    const LoadPoint point = delivered_into(s, 500, crest);
    CHECK(point.peak == Approx(peaks[k]).margin(5e-5));
    CHECK(point.rms == Approx(std::sqrt(60.0 * 500)).epsilon(1e-14));
    CHECK(point.current == Approx(std::sqrt(60.0 / 500)).epsilon(1e-14));
  }
}

TEST_CASE("The open circuit of an unregulated source is twice its matched voltage") {
  Source s = source(SourceKind::unregulated);
  s.rated_load = 500;
  CHECK(source_voltage(s, std::numeric_limits<double>::infinity(), sine) ==
        Approx(2 * delivered_into(s, 500, sine).rms).epsilon(1e-14));
}

TEST_CASE("The curve reaches from 1 to 10,000 ohm and has every corner of its limits") {
  SECTION("two limits") {
    Source s = source(SourceKind::constant_power);
    s.current_limit = 2;
    s.peak_limit = 190;
    const std::vector<LoadPoint> curve = power_load_curve(s, sine);
    CHECK(curve.size() == 121 + 3);  // and where the two limits meet
    CHECK(curve.front().load == 1);
    CHECK(curve.back().load == 1e4);
    for (std::size_t k = 1; k < curve.size(); ++k) CHECK(curve[k].load > curve[k - 1].load);
    CHECK(point_at(curve, 60.0 / 4).power == Approx(60).epsilon(1e-12));              // P/I^2
    CHECK(point_at(curve, 190.0 * 190 / 2 / 60).power == Approx(60).epsilon(1e-12));  // (peak/CF)^2/P
  }
  SECTION("two limits that meet below the setting") {
    Source s = source(SourceKind::constant_power);
    s.current_limit = 0.5;
    s.peak_limit = 50 * sine;
    CHECK(point_at(power_load_curve(s, sine), 100).power == Approx(25).epsilon(1e-12));  // V/I
  }
  SECTION("a flat range") {
    Source s = source(SourceKind::constant_power);
    s.flat = {70, 900};
    CHECK(point_at(power_load_curve(s, sine), 70).power == Approx(60).epsilon(1e-12));
    CHECK(point_at(power_load_curve(s, sine), 900).power == Approx(60).epsilon(1e-12));
  }
  SECTION("the summit of an unregulated source, and its limit") {
    Source s = source(SourceKind::unregulated);
    s.rated_load = 333;
    s.peak_limit = 200 * sine;
    CHECK(point_at(power_load_curve(s, sine), 333).power == Approx(200 * 200 / 333.0 < 60 ? 200 * 200 / 333.0 : 60));
    const double open = 2 * std::sqrt(60.0 * 333);
    CHECK(point_at(power_load_curve(s, sine), 333 * 200 / (open - 200)).rms == Approx(200).epsilon(1e-12));
  }
  SECTION("the entries of a table, a fixed voltage and a held temperature") {
    Source s = source(SourceKind::table);
    s.load = {0.5, 77, 2e4};
    s.power = {10, 50, 20};
    CHECK(point_at(power_load_curve(s, sine), 77).power == Approx(50).epsilon(1e-12));
    CHECK(power_load_curve(s, sine).size() == 122);
    s = source(SourceKind::voltage);
    s.rms = 30;
    s.current_limit = 2;
    CHECK(point_at(power_load_curve(s, sine), 15).power == Approx(60).epsilon(1e-12));
    CHECK(delivered_into(source(SourceKind::temperature), 40, sine).power == Approx(60).epsilon(1e-14));
  }
}
