// The sampler against targets whose moments are known: a correlated normal distribution, and the banana of Haario,
// Saksman, Tamminen 1999, Comput Stat 14:375 (from memory), a normal one bent without changing its volume. Agreement
// against independent draws, an autoregressive series (effective share (1 - a)/(1 + a)) and chains at different places.
#include "numerics/adaptive_metropolis.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "numerics/counter_random.hpp"

namespace dryfront {
namespace {

struct Sampled {
  std::vector<std::vector<std::vector<double>>> columns;  // per dimension, chain, draw
  Agreement of(std::size_t k) const { return agreement(columns[k]); }
  // Mean of a function of a draw.
  template <class Function>
  double mean(const Function& function) const {
    double sum = 0, count = 0;
    for (std::size_t chain = 0; chain < columns[0].size(); ++chain) {
      for (std::size_t draw = 0; draw < columns[0][chain].size(); ++draw, ++count) {
        std::vector<double> x;
        for (const auto& column : columns) x.push_back(column[chain][draw]);
        sum += function(x);
      }
    }
    return sum / count;
  }
};

Sampled sampled(const LogDensity& density, std::size_t dimensions, std::size_t every) {
  Sampled result{std::vector<std::vector<std::vector<double>>>(dimensions)};
  for (std::uint64_t k = 0; k < 4; ++k) {
    std::vector<double> start(dimensions, 2.0 - static_cast<double>(k));
    const Chain chain = adaptive_metropolis(density, start, {5000, 2000, every, scrambled(11, k)});
    CHECK(chain.accepted > 0.1);
    CHECK(chain.accepted < 0.5);
    for (std::size_t i = 0; i < dimensions; ++i) {
      result.columns[i].emplace_back();
      for (std::size_t draw = 0; draw < chain.draws.rows; ++draw) {
        result.columns[i].back().push_back(chain.draws(draw, i));
      }
    }
  }
  return result;
}

TEST_CASE("draws from a correlated normal distribution have its mean and covariance") {
  // Deviations 1 and 0.01, correlation 0.9, mean (1, -2).
  constexpr double r = 0.9, small = 0.01;
  const auto density = [](std::span<const double> x) {
    const double a = x[0] - 1, b = (x[1] + 2) / small;
    return -0.5 * (a * a - 2 * r * a * b + b * b) / (1 - r * r);
  };
  const Sampled draws = sampled(density, 2, 20);
  for (const std::size_t k : {0U, 1U}) CHECK(draws.of(k).r_hat < 1.01);
  const double effective = std::min(draws.of(0).effective, draws.of(1).effective);
  CHECK(effective > 1000);
  const double four = 4 / std::sqrt(effective);  // standard errors of a mean
  CHECK(draws.mean([](const auto& x) { return x[0]; }) == Approx(1).margin(four));
  CHECK(draws.mean([](const auto& x) { return (x[1] + 2) / small; }) == Approx(0).margin(four));
  CHECK(draws.mean([](const auto& x) { return (x[0] - 1) * (x[0] - 1); }) == Approx(1).margin(four * std::sqrt(2.0)));
  CHECK(draws.mean([](const auto& x) { return (x[0] - 1) * (x[1] + 2) / small; }) ==
        Approx(r).margin(four * std::sqrt(1 + r * r)));
  CHECK(draws.mean([](const auto& x) { return std::abs(x[0] - 1) < 1.6448536 ? 1.0 : 0.0; }) ==
        Approx(0.9).margin(four * 0.3));
}

TEST_CASE("draws from a bent distribution have its moments") {
  // x1 normal with deviation 2, x2 = y2 - b (x1^2 - 4), y2 standard normal: mean of x2 is 0, its variance 1 + b^2 32.
  constexpr double bend = 0.25;
  const auto density = [](std::span<const double> x) {
    const double y = x[1] + bend * (x[0] * x[0] - 4);
    return -0.5 * (x[0] * x[0] / 4 + y * y);
  };
  const Sampled draws = sampled(density, 2, 50);
  const double effective = std::min(draws.of(0).effective, draws.of(1).effective);
  CHECK(effective > 600);
  const double four = 4 / std::sqrt(effective), variance = 1 + bend * bend * 32;
  CHECK(draws.mean([](const auto& x) { return x[0]; }) == Approx(0).margin(2 * four));
  CHECK(draws.mean([](const auto& x) { return x[1]; }) == Approx(0).margin(four * std::sqrt(variance)));
  CHECK(draws.mean([](const auto& x) { return x[0] * x[0]; }) == Approx(4).margin(4 * four * std::sqrt(2.0)));
  // Along the bend it is a normal distribution again.
  CHECK(draws.mean([](const auto& x) {
    const double y = x[1] + bend * (x[0] * x[0] - 4);
    return x[0] * x[0] / 4 + y * y < 1.386294 ? 1.0 : 0.0;  // half of a chi square of two degrees
  }) == Approx(0.5).margin(0.5 * four));
}

TEST_CASE("what has no density is never entered") {
  const auto density = [](std::span<const double> x) { return x[0] > 0 ? -x[0] : -INFINITY; };
  const std::vector<double> start{1.0};
  const Chain chain = adaptive_metropolis(density, start, {4000, 4000, 10, 3});
  double mean = 0;
  for (const double x : chain.draws.values) {
    CHECK(x > 0);
    mean += x / static_cast<double>(chain.draws.rows);
  }
  CHECK(mean == Approx(1).margin(0.1));
}

TEST_CASE("the same key gives the same draws, another one others") {
  const auto density = [](std::span<const double> x) { return -0.5 * x[0] * x[0]; };
  const std::vector<double> start{0.5};
  const auto draws = [&](std::uint64_t key) {
    return adaptive_metropolis(density, start, {200, 50, 2, key}).draws.values;
  };
  CHECK(draws(1) == draws(1));
  CHECK(draws(1) != draws(2));
}

std::vector<std::vector<double>> series(double memory, double apart, std::uint64_t key = 21) {
  std::vector<std::vector<double>> chains;
  for (std::uint64_t k = 0; k < 4; ++k) {
    CounterRandom chance(scrambled(key, k));
    double x = chance.normal();
    chains.emplace_back();
    for (int draw = 0; draw < 5000; ++draw) {
      x = memory * x + std::sqrt(1 - memory * memory) * chance.normal();
      chains.back().push_back(x + apart * static_cast<double>(k));
    }
  }
  return chains;
}

TEST_CASE("effective draws of independent and of autoregressive series") {
  CHECK(agreement(series(0, 0)).effective == Approx(20000).epsilon(0.1));
  // One estimate of the sum of correlations scatters by about 14 % here, the mean of thirty by 2.6 %.
  double inverse = 0;
  constexpr int repeats = 30;
  for (int k = 0; k < repeats; ++k) {
    inverse += 1 / agreement(series(0.9, 0, 100 + static_cast<std::uint64_t>(k))).effective / repeats;
  }
  CHECK(inverse * 20000 == Approx(1.9 / 0.1).epsilon(3 * 0.026));
  CHECK(agreement(series(0.9, 0)).r_hat < 1.01);
}

TEST_CASE("chains at different places, and one that stands still, do not agree") {
  CHECK(agreement(series(0, 1)).r_hat > 1.1);
  CHECK(agreement(series(0, 1)).effective < 100);
  CHECK(std::isinf(agreement({{1, 1, 1, 1}, {1, 1, 1, 1}}).r_hat));
}

}  // namespace
}  // namespace dryfront
