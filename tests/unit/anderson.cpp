// Anderson mixing: on a linear fixed point of n unknowns it ends as GMRES does, after n + 1 passes (Walker and Ni, SIAM
// J. Numer. Anal. 49 (2011) 1715, theorem 2.2); on one unknown it is the secant rule (the same, section 2).
#include "numerics/anderson.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "random_fields.hpp"

using namespace dryfront;

namespace {

// x <- B x + c, with a spectral radius up to `radius`; its fixed point is all ones.
struct LinearMap {
  std::vector<std::vector<double>> b;

  LinearMap(std::size_t size, double radius) : b(size, std::vector<double>(size, 0.0)) {
    Draws draws(9);
    for (std::size_t i = 0; i < size; ++i) {
      for (std::size_t j = 0; j < size; ++j) b[i][j] = draws.between(-1, 1) * radius / static_cast<double>(size);
      b[i][i] += 0.5 * radius;
    }
  }
  std::vector<double> operator()(const std::vector<double>& x) const {
    std::vector<double> f(x.size(), 1.0);
    for (std::size_t i = 0; i < x.size(); ++i) {
      for (std::size_t j = 0; j < x.size(); ++j) f[i] += b[i][j] * (x[j] - 1);
    }
    return f;
  }
};

double distance_to_one(const std::vector<double>& x) {
  double most = 0;
  for (const double value : x) most = std::max(most, std::abs(value - 1));
  return most;
}

}  // namespace

TEST_CASE("a linear fixed point is met after one pass more than it has unknowns") {
  for (const std::size_t size : {1u, 2u, 4u, 6u}) {
    const LinearMap map(size, 0.9);
    AndersonMixing mixing(static_cast<int>(size));
    mixing.restart(size);
    std::vector<double> x(size, 0.0), weight(size, 1.0);
    for (std::size_t pass = 0; pass <= size; ++pass) mixing.next(map(x), weight, x);
    CAPTURE(size);
    CHECK(distance_to_one(x) <= 1e-6);
    mixing.next(map(x), weight, x);
    CHECK(distance_to_one(x) <= 1e-6);
  }
}

TEST_CASE("the first pass is the plain one") {
  AndersonMixing mixing(3);
  mixing.restart(2);
  std::vector<double> x{1, 2};
  CHECK(mixing.next(std::vector<double>{5, 7}, std::vector<double>{1, 0.5}, x) == 4 + 0.5 * 5);  // its weighted change
  CHECK(x == std::vector<double>{5, 7});
}

TEST_CASE("one unknown with depth one is the secant rule") {
  const auto f = [](double x) { return std::cos(x); };
  AndersonMixing mixing(1);
  mixing.restart(1);
  std::vector<double> x{0.2};
  double before = 0.2, now = f(0.2);  // the secant rule for cos x - x, started with one plain pass
  mixing.next(std::vector<double>{f(x[0])}, std::vector<double>{1.0}, x);
  CHECK(x[0] == now);
  for (int pass = 0; pass < 4; ++pass) {
    const double changed = mixing.next(std::vector<double>{f(x[0])}, std::vector<double>{1.0}, x);
    const double residual_before = f(before) - before, residual_now = f(now) - now;
    const double next = now - residual_now * (now - before) / (residual_now - residual_before);
    before = now;
    now = next;
    CHECK(x[0] == Approx(now).epsilon(1e-8));
    CHECK(changed == Approx(std::abs(now - before)).epsilon(1e-7).margin(1e-14));
  }
  mixing.next(std::vector<double>{f(x[0])}, std::vector<double>{1.0}, x);
  CHECK(x[0] == Approx(0.7390851332151607).epsilon(1e-9));  // the root of cos x = x
}

TEST_CASE("a restart forgets, and the same passes give the same bits") {
  const LinearMap map(5, 0.8);
  const std::vector<double> weight{1, 0, 2, 1, 0.5};
  const auto passes = [&](AndersonMixing& mixing) {
    mixing.restart(5);
    std::vector<double> x(5, 0.0);
    for (int pass = 0; pass < 9; ++pass) mixing.next(map(x), weight, x);
    return x;
  };
  AndersonMixing mixing(3);
  const auto first = passes(mixing);
  mixing.restart(2);
  std::vector<double> other{3, 4};
  mixing.next(std::vector<double>{1, 1}, std::vector<double>{1, 1}, other);
  CHECK(passes(mixing) == first);
  AndersonMixing fresh(3);
  CHECK(passes(fresh) == first);
}

TEST_CASE("differences that say nothing do no harm") {
  AndersonMixing mixing(4);
  mixing.restart(2);
  std::vector<double> x{0, 0};
  for (int pass = 0; pass < 8; ++pass) {
    mixing.next(std::vector<double>{1, 2}, std::vector<double>{1, 1}, x);  // the same value again and again
    CHECK(x == std::vector<double>{1, 2});
  }
  mixing.restart(2);
  x = {0, 0};
  for (int pass = 0; pass < 8; ++pass) {
    mixing.next(std::vector<double>{0.5 * x[0] + 1, 2}, std::vector<double>{0, 0}, x);  // nothing weighs anything
    CHECK(std::isfinite(x[0]));
    CHECK(std::isfinite(x[1]));
  }
  mixing.restart(0);
  std::vector<double> none;
  CHECK_NOTHROW(mixing.next(none, none, none));
}
