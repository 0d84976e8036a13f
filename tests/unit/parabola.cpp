// Parabolas between centres. Exact: a parabola is its own interpolant and crosses zero at the roots it was made of; the
// remainder of quadratic interpolation is f''' (x - a)(x - b)(x - c)/6 (elementary).
#include "numerics/parabola.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

using namespace dryfront;

namespace {

const std::vector<double> uneven{0, 0.7, 1, 2.2, 2.5, 4};

template <class Function>
std::vector<double> values_of(const std::vector<double>& x, Function f) {
  std::vector<double> y;
  for (const double at : x) y.push_back(f(at));
  return y;
}

Parabola between(const std::vector<double>& x, const std::vector<double>& y, std::size_t k) {
  return parabola(x, k, [&](std::size_t point) { return y[point]; });
}

}  // namespace

TEST_CASE("a parabola on uneven points is its own interpolant, in every interval") {
  for (const double curvature : {-1.3, 0.0, 0.8}) {
    const auto f = [&](double x) { return 3 - 2 * x + curvature * x * x; };
    const std::vector<double> y = values_of(uneven, f);
    for (std::size_t k = 0; k + 1 < uneven.size(); ++k) {
      const Parabola p = between(uneven, y, k);
      for (const double share : {0.0, 0.1, 0.5, 0.9, 1.0}) {
        const double x = uneven[k] + share * (uneven[k + 1] - uneven[k]);
        CAPTURE(curvature, k, x);
        CHECK(p.at(x) == Approx(f(x)).epsilon(1e-13).margin(1e-13));
      }
    }
  }
}

TEST_CASE("two points alone make a line") {
  const Parabola p = between({1, 3}, {4, -2}, 0);
  CHECK(p.bend == 0);
  CHECK(p.at(1.5) == Approx(2.5).epsilon(1e-15));
  CHECK(p.crossing() == Approx(1 + 2 * 4.0 / 6).epsilon(1e-15));
}

TEST_CASE("a jump or kink outside the interval stays outside, on either side") {
  const auto smooth = [](double x) { return 1 + 0.5 * x - 0.2 * x * x; };
  const double place = 2.3;  // in the interval 3, from 2.2 to 2.5
  for (const double jump : {0.0, 1e3, -1e3}) {
    const double kink = jump == 0 ? 50 : 0;
    const auto disturbance = [&](double x) { return jump + kink * (x - place); };
    const auto later = values_of(uneven, [&](double x) { return smooth(x) + (x > place ? disturbance(x) : 0); });
    const auto earlier = values_of(uneven, [&](double x) { return smooth(x) + (x < place ? disturbance(x) : 0); });
    CAPTURE(jump, kink);
    // The interval before the disturbance has its later neighbour beyond it; the one after it, its earlier neighbour.
    CHECK(between(uneven, later, 2).at(1.9) == Approx(smooth(1.9)).epsilon(1e-13));
    CHECK(between(uneven, earlier, 2).at(1.9) == Approx(smooth(1.9) + disturbance(1.9)).epsilon(1e-13));
    const std::vector<double> x{0, 0.7, 1, 2.2, 2.5, 4, 4.3};
    const auto further = values_of(x, [&](double at) { return smooth(at) + (at < place ? disturbance(at) : 0); });
    CHECK(between(x, further, 4).at(3) == Approx(smooth(3)).epsilon(1e-13));
  }
}

TEST_CASE("lines and parabolas cross zero at their root, falling and rising, bent either way") {
  const double begin = 0.7, end = 1.0;  // the interval 1
  for (const double root : {0.7, 0.7001, 0.85, 0.99, 1.0}) {
    // The other root outside the interval, near and far on both sides; none, for a line.
    for (const double other : {0.5, -40.0, 1.2, 60.0, std::numeric_limits<double>::infinity()}) {
      for (const double sign : {1.0, -1.0}) {
        const auto f = [&](double x) { return sign * (x - root) * (std::isinf(other) ? 1 : x - other); };
        const double length = end - begin;
        const double middle = f(0.5 * (begin + end));
        const Parabola p{begin, length, f(begin), f(end), 2 * (f(begin) + f(end)) - 4 * middle};
        CAPTURE(root, other, sign);
        REQUIRE(p.at(0.85) == Approx(middle).epsilon(1e-12).margin(1e-12));
        CHECK(p.crossing() == Approx(root).epsilon(1e-13));
        if (root > begin && root < end) {
          CHECK(between(uneven, values_of(uneven, f), 1).crossing() == Approx(root).epsilon(1e-12));
        }
      }
    }
  }
}

TEST_CASE("a start at zero is the crossing, unless the parabola first rises and falls through zero further on") {
  for (const double sign : {1.0, -1.0}) {
    for (const double bend : {-1.0, -0.5, 0.0, 3.0}) {
      CAPTURE(sign, bend);
      CHECK(Parabola{2, 0.1, 0.0, -sign, sign * bend}.crossing() == 2);
      CHECK(Parabola{2, 0.1, sign, 0.0, sign * std::abs(bend) / 4}.crossing() == Approx(2.1).epsilon(1e-15));
    }
    // -u - 2u(u - 1) = u (1 - 2u): half-way, and no other place for a start that differs from zero by round-off.
    for (const double start : {0.0, 1e-300, 1e-18, 1e-14}) {
      CAPTURE(sign, start);
      CHECK(Parabola{2, 0.1, sign * start, -sign, -2 * sign}.crossing() == Approx(2.05).epsilon(1e-13));
    }
  }
}

TEST_CASE("the crossing lies in the interval and the parabola is zero there, however it bends") {
  std::mt19937 chance(7);
  std::uniform_real_distribution<double> decade(-8, 8);
  for (int trial = 0; trial < 20000; ++trial) {
    const double sign = trial % 2 == 0 ? 1 : -1, turned = trial % 4 < 2 ? 1 : -1;
    const Parabola p{0, 1, sign * std::pow(10, decade(chance)), -sign * std::pow(10, decade(chance)),
                     turned * std::pow(10, decade(chance))};
    const double root = p.crossing();
    const double largest = std::max({std::abs(p.first), std::abs(p.last), std::abs(p.bend)});
    CAPTURE(p.first, p.last, p.bend, root);
    REQUIRE(root >= 0);
    REQUIRE(root <= 1);
    REQUIRE(std::abs(p.at(root)) <= 1e-14 * largest);
  }
}

TEST_CASE("the crossing of a smooth function is third order, with the remainder's own factor") {
  // exp(-x) - exp(-1) at x = 1: f''' = f', so that the error is the remainder over f', (1 - a)(1 - b)(1 - c)/6.
  const std::vector<double> offset{-1.9, -0.4, 0.6, 2.3};  // of the points from the root, in steps; the last three win
  const auto error = [&](double step) {
    std::vector<double> x;
    for (const double place : offset) x.push_back(1 + step * place);
    return between(x, values_of(x, [](double at) { return std::exp(-at) - std::exp(-1.0); }), 1).crossing() - 1;
  };
  const double factor = -offset[1] * offset[2] * offset[3] / 6;
  for (double step = 0.1; step > 0.01; step /= 2) {
    CAPTURE(step);
    const double order = std::log2(error(step) / error(step / 2));
    CHECK(order > 2.9);
    CHECK(order < 3.1);
    CHECK(error(step) == Approx(factor * std::pow(step, 3)).epsilon(1.5 * step));
  }
}
