// The controller of a source that holds a temperature, and a mode run by it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "physics/temperature_control.hpp"
#include "simulation/run.hpp"
#include "simulation/step.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

// No boiling, no striking, a probe under the face.
Case held_case() {
  Case c = small_case();
  c.specimen.layers[0].tissue.moisture = 0;
  c.electrode.contact = ContactKind::perfect;
  c.probes = {{"below", 0, 1e-3}};
  c.modes = {small_mode("held", 1, 6)};
  Source& source = c.modes[0].source;
  source.kind = SourceKind::temperature;
  source.setting = 20;
  source.probe = "below";
  source.hold = 60;
  source.reset_time = 4;
  return c;
}

}  // namespace

TEST_CASE("a controller gives all at the start, nothing far above, and its integral part where it is right") {
  const TemperatureControl control = temperature_control(60, 20, 10, 80);
  CHECK(control.gain == 2);
  CHECK(demanded_power(control, 20, 0) == 80);
  CHECK(demanded_power(control, 50, 7) == 27);
  CHECK(demanded_power(control, 60, 7) == 7);
  CHECK(demanded_power(control, 20, 30) == 80);
  CHECK(demanded_power(control, 70, 7) == 0);
}

TEST_CASE("the integral part grows by what is missing and stands still past a bound") {
  const TemperatureControl control = temperature_control(60, 20, 10, 80);
  CHECK(integral_after(control, 5, 50, 52, 0.5) == Approx(5 + 2 * 9 * 0.5 / 10).epsilon(1e-14));
  CHECK(integral_after(control, 5, 60, 60, 100) == 5);
  // All the power is given already: no more than brings the output to its bound.
  CHECK(integral_after(control, 0, 20, 20, 1) == 0);
  CHECK(integral_after(control, 0, 20, 21, 10) == Approx(2).epsilon(1e-14));
  CHECK(integral_after(control, 30, 20, 20, 1) == 30);
  // Nothing is given already.
  CHECK(integral_after(control, 5, 70, 70, 1) == 5);
  // Back from a bound at once: too hot makes it fall, too cold rise.
  CHECK(integral_after(control, 70, 61, 61, 1) < 70);
  CHECK(integral_after(control, 0, 59, 59, 1) > 0);
}

TEST_CASE("a mode holds its probe's temperature with no more than its most power and no longer steps than it needs") {
  Case c = held_case();
  c.modes[0].activation = 40;
  c.physics.bound_water = c.physics.vapour = c.physics.pressed_out_water = false;  // heat alone, to round-off
  const Grid grid = case_grid(c);
  const ModeRecord record = run(c, grid, {}, 1).front();
  REQUIRE(record.completed);
  const std::vector<double>& temperature = record.probes[0].temperature;
  CHECK(temperature.back() == Approx(60).margin(0.5));
  CHECK(record.trace.power.front() == Approx(20).epsilon(1e-9));
  CHECK(*std::max_element(record.trace.power.begin(), record.trace.power.end()) <= 20 * (1 + 1e-9));
  CHECK(record.ledger.energy < 1e-9);
  for (std::size_t k = 1; k < record.trace.time.size(); ++k) {
    CHECK(record.trace.time[k] - record.trace.time[k - 1] <= 0.5 * (1 + 1e-9));
  }
  // What the controller asks for at every row, from the probe alone.
  const TemperatureControl control = temperature_control(60, c.specimen.start, 4, 20);
  double integral = 0, worst = 0;
  for (std::size_t k = 1; k < temperature.size(); ++k) {
    const double dt = record.trace.time[k] - record.trace.time[k - 1];
    integral = integral_after(control, integral, temperature[k - 1], temperature[k], dt);
    worst = std::max(worst, std::abs(record.trace.power[k] - demanded_power(control, temperature[k], integral)));
  }
  CHECK(worst < 2 * control.gain);  // that of the predicted end, which may be off by the tolerance of 1 K
}

TEST_CASE("a source asked for nothing finds its load and heats nothing") {
  const Case c = held_case();
  const Grid grid = case_grid(c);
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state(), next;
  std::fill(now.fields.temperature.begin(), now.fields.temperature.end(), 90.0);
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  CHECK(now.electric.power < 1e-9);
  CHECK(now.electric.resistance > 1);
  REQUIRE(stepper.step(now, 10'000'000'000, next).converged());
  CHECK(next.electric.power < 1e-9);
  CHECK(std::isfinite(next.electric.resistance));
  CHECK(next.control_integral == 0);
}

TEST_CASE("the conductivity rises by the tissue's own pair, and a rise without damage changes no bit") {
  Case c = held_case();
  c.modes[0].source.kind = SourceKind::voltage;
  c.modes[0].source.rms = 60;
  const Grid grid = case_grid(c);
  const auto load = [&](double rise, double frequency) {
    Tissue& tissue = c.specimen.layers[0].tissue;
    tissue.coagulation_rise = rise;
    tissue.coagulation_frequency = frequency;
    tissue.coagulation_energy = 2.515e5;
    const ModeRecord record = run(c, grid, {}, 1).front();
    return record.trace.resistance;
  };
  const std::vector<double> none = load(0, 0);
  CHECK(load(1, 1e-200) == none);
  const std::vector<double> own = load(1, 1.95e36), first = load(1, 0);
  CHECK(own.back() < none.back());
  CHECK(own.back() > first.back());  // coagulates some 20 K later than the liver pair
  // With the numbers of the first pair it does what that does, but for the first one's lag of a step.
  Tissue& tissue = c.specimen.layers[0].tissue;
  tissue.coagulation_frequency = c.damage[0].frequency;
  tissue.coagulation_energy = c.damage[0].energy;
  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state(), next;
  REQUIRE(stepper.switch_current(now, true).what == nullptr);
  for (int k = 0; k < 60; ++k) {
    REQUIRE(stepper.step(now, 50'000'000'000, next).converged());
    std::swap(now, next);
  }
  CHECK(*std::max_element(now.fields.omega[0].begin(), now.fields.omega[0].end()) > 1e-3);
  CHECK(now.fields.coagulation == now.fields.omega[0]);
}
