// Both searches against the valley of Rosenbrock 1960, Computer Journal 3:175, whose greatest value is at (1, 1); and
// against a bound.
#include "numerics/maximum.hpp"

#include <catch2/catch.hpp>

namespace dryfront {
namespace {

double valley(std::span<const double> x, std::span<double> gradient) {
  const double a = x[1] - x[0] * x[0], b = 1 - x[0];
  if (!gradient.empty()) {
    gradient[0] = 400 * a * x[0] + 2 * b;
    gradient[1] = -200 * a;
  }
  return -100 * a * a - b * b;
}

TEST_CASE("both searches find the end of Rosenbrock's valley") {
  const Box box{{-2, -2}, {2, 2}};
  const Maximum by_gradient = climb_by_gradient(valley, box, {-1.2, 1}, 1e-8, 2000);
  const Maximum without = climb(valley, box, {-1.2, 1}, 1e-8, 20000);
  for (const Maximum& found : {by_gradient, without}) {
    CHECK(found.at[0] == Approx(1).margin(1e-3));
    CHECK(found.at[1] == Approx(1).margin(2e-3));
    CHECK(found.value == valley(found.at, {}));
  }
}

TEST_CASE("a maximum outside the box is found at its wall, also from a start outside") {
  const Box box{{-2, -2}, {0.5, 2}};  // along the wall x = 1/2 it is at y = 1/4
  const Maximum found = climb(valley, box, {3, 3}, 1e-8, 20000);
  CHECK(found.at[0] == Approx(0.5).margin(1e-6));
  CHECK(found.at[1] == Approx(0.25).margin(1e-3));
}

}  // namespace
}  // namespace dryfront
