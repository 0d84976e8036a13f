// Source characteristics: elementary circuit relations.
#include "physics/source.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace dryfront;

namespace {

Source source(SourceKind kind) {
  Source result;
  result.kind = kind;
  result.setting = 60;
  return result;
}

double power(const Source& s, double load, double crest_factor) {
  const double voltage = source_voltage(s, load, crest_factor);
  return voltage * voltage / load;
}

}  // namespace

TEST_CASE("a regulated source holds its power between its limits") {
  Source s = source(SourceKind::constant_power);
  for (const double load : {5.0, 80.0, 500.0, 5000.0}) CHECK(power(s, load, 1.5) == Approx(60).epsilon(1e-14));
  s.current_limit = 2;
  s.peak_limit = 400;
  CHECK(power(s, 10, std::sqrt(2.0)) == Approx(40).epsilon(1e-14));    // I^2 R
  CHECK(power(s, 100, std::sqrt(2.0)) == Approx(60).epsilon(1e-14));   // setting
  CHECK(power(s, 4000, std::sqrt(2.0)) == Approx(20).epsilon(1e-14));  // (peak/CF)^2/R
  CHECK(source_voltage(s, 1e12, 8) == Approx(50).epsilon(1e-14));      // peak/CF
  CHECK(source_voltage(s, 0, 2) == 0);
  CHECK(source_voltage(s, std::numeric_limits<double>::infinity(), 2) == 200);
}

TEST_CASE("a matched source delivers its setting at its rated load and less on both sides") {
  Source s = source(SourceKind::unregulated);
  s.rated_load = 500;
  CHECK(power(s, 500, 5) == Approx(60).epsilon(1e-14));
  CHECK(power(s, 100, 5) == Approx(60 * 4 * 100.0 * 500 / (600.0 * 600)).epsilon(1e-14));
  CHECK(power(s, 499, 5) < 60);
  CHECK(power(s, 501, 5) < 60);
  CHECK(power(s, 250, 5) == Approx(power(s, 1000, 5)).epsilon(1e-14));  // the same ratio either way
  // A voltage source 2 sqrt(P R_m) behind R_m: the two ends.
  const double open_circuit = 2 * std::sqrt(60.0 * 500);
  CHECK(source_voltage(s, std::numeric_limits<double>::infinity(), 5) == Approx(open_circuit).epsilon(1e-14));
  CHECK(source_voltage(s, 0, 5) == 0);
  CHECK(source_voltage(s, 1e-6, 5) / 1e-6 == Approx(open_circuit / 500).epsilon(1e-8));
}

TEST_CASE("a table is linear in the logarithm of the load and level beyond its ends") {
  Source s = source(SourceKind::table);
  s.load = {50, 200, 800};
  s.power = {20, 60, 30};
  CHECK(power(s, 50, 2) == Approx(20).epsilon(1e-14));
  CHECK(power(s, 100, 2) == Approx(40).epsilon(1e-14));
  CHECK(power(s, 200, 2) == Approx(60).epsilon(1e-14));
  CHECK(power(s, 400, 2) == Approx(45).epsilon(1e-14));
  CHECK(power(s, 5, 2) == Approx(20).epsilon(1e-14));
  CHECK(power(s, 9000, 2) == Approx(30).epsilon(1e-14));
}

TEST_CASE("a flat range: constant current below, constant power between, constant voltage above") {
  Source s = source(SourceKind::constant_power);
  s.flat = {100, 1000};
  for (const double load : {100.0, 300.0, 1000.0}) CHECK(power(s, load, 2) == Approx(60).epsilon(1e-14));
  CHECK(source_voltage(s, 7, 2) / 7 == Approx(std::sqrt(60.0 / 100)).epsilon(1e-14));
  CHECK(source_voltage(s, 1e5, 2) == Approx(std::sqrt(60.0 * 1000)).epsilon(1e-14));
  CHECK(source_voltage(s, 0, 2) == 0);
  CHECK(source_voltage(s, std::numeric_limits<double>::infinity(), 2) == Approx(std::sqrt(6e4)).epsilon(1e-14));
  s.peak_limit = 200;  // the lower of two bounds counts
  CHECK(source_voltage(s, 1e5, 2) == Approx(100).epsilon(1e-14));
}

TEST_CASE("fixed voltage and fixed power") {
  Source s = source(SourceKind::voltage);
  s.rms = 90;
  CHECK(source_voltage(s, 10, 2) == 90);
  CHECK(source_voltage(s, 1e9, 2) == 90);
  s.peak_limit = 100;
  CHECK(source_voltage(s, 10, 2) == 50);
  CHECK(power(source(SourceKind::constant_power), 33, 2) == Approx(60).epsilon(1e-14));
  CHECK(power(source(SourceKind::temperature), 33, 2) == Approx(60).epsilon(1e-14));  // what is demanded
}

TEST_CASE("the voltage of a source does not fall and its current does not rise with the load") {
  for (const SourceKind kind : {SourceKind::constant_power, SourceKind::unregulated, SourceKind::table,
                                SourceKind::voltage, SourceKind::temperature}) {
    Source s = source(kind);
    s.rms = 120;
    s.load = {50, 200, 800};
    s.power = {40, 60, 30};
    s.peak_limit = 600;
    s.current_limit = 1.5;
    double voltage = 0, current = std::numeric_limits<double>::infinity();
    for (double load = 1; load < 1e5; load *= 1.05) {
      CAPTURE(static_cast<int>(kind), load);
      const double next = source_voltage(s, load, 3);
      CHECK(next >= voltage * (1 - 1e-12));
      CHECK(next / load <= current * (1 + 1e-12));
      CHECK(next <= 200 * (1 + 1e-15));
      CHECK(next / load <= 1.5 * (1 + 1e-15));
      voltage = next;
      current = next / load;
    }
  }
}
