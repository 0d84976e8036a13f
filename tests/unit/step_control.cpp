// Step control: its rule, length * 0.75 (allowed/error)^(1/2) with bounded change, worked by hand.
#include "simulation/step_control.hpp"

#include <catch2/catch.hpp>
#include <limits>

using namespace dryfront;

TEST_CASE("a step is accepted up to the allowed error") {
  const StepControl control(0.5, 0.25);
  CHECK(control.accept(0));
  CHECK(control.accept(0.5));
  CHECK_FALSE(control.accept(0.5000001));
  CHECK_FALSE(control.accept(std::numeric_limits<double>::quiet_NaN()));
}

TEST_CASE("the next step follows the square root of the error") {
  StepControl control(1, 100);
  CHECK(control.rejected(0.01, 4) == Approx(0.00375));
  CHECK(control.wanted() == Approx(0.00375));
  control.accepted(0.00375, 1);
  CHECK(control.wanted() == Approx(0.75 * 0.00375));
  control.accepted(0.01, 0.25);
  CHECK(control.wanted() == Approx(0.015));
}

TEST_CASE("a step cut short by an event does not shorten the next") {
  StepControl control(1, 100);
  control.accepted(0.1, 0.5625);
  REQUIRE(control.wanted() == Approx(0.1));
  control.accepted(0.001, 1e-4);
  CHECK(control.wanted() == Approx(0.1));
}

TEST_CASE("it changes by a bounded factor and never passes the longest") {
  StepControl control(1, 0.03);
  control.accepted(0.01, 1e-12);
  CHECK(control.wanted() == Approx(0.02));
  CHECK(control.rejected(0.01, 1e12) == Approx(0.002));
  control.accepted(0.02, 0);
  CHECK(control.wanted() == 0.03);
  CHECK(control.failed(0.01) == Approx(0.0025));
  CHECK(control.wanted() == Approx(0.0025));
}

TEST_CASE("after a switch it starts small again") {
  StepControl control(1, 0.25);
  CHECK(control.wanted() == StepControl::first);
  control.accepted(0.2, 0);
  control.restart();
  CHECK(control.wanted() == StepControl::first);
  StepControl slow(1, 1e-4);
  slow.restart();
  CHECK(slow.wanted() == 1e-4);
}

TEST_CASE("with an error of second order it settles where the error is 0.56 of the allowed") {
  StepControl control(0.2, 10);
  double length = 1e-3;
  const auto error = [](double step) { return 50 * step * step; };
  for (int k = 0; k < 40; ++k) {
    control.accepted(length, error(length));
    length = control.wanted();
  }
  CHECK(control.accept(error(length)));
  CHECK(error(length) == Approx(0.2 * 0.75 * 0.75));
}
