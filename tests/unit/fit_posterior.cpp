// The posterior of a fit against the exact one of a linear model with normal prior and noise, whose mean and covariance
// follow from linear algebra (Gelman et al. 2013, "Bayesian Data Analysis", section 14.2, from memory); and on many
// synthetic sets: the ranks of the truth among the draws are uniform (Talts et al. 2018, arXiv:1804.06788), so that
// intervals of 90 % cover it in 90 %.
#include <boost/math/special_functions/erf.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "numerics/counter_random.hpp"
#include "studies/fit/sampling.hpp"

namespace dryfront {
namespace {

// The score whose share is given.
double score_of(double share) { return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * share); }

// Outputs of the scores z: 2 z0 + z1, z0 - z1.
void linear(std::span<const double> shares, std::span<double> outputs) {
  const double a = score_of(shares[0]), b = score_of(shares[1]);
  outputs[0] = 20 + 2 * a + b;
  outputs[1] = 10 + a - b;
}

FitProblem linear_problem(double first, double second, double third) {
  FitProblem problem;
  problem.parameters.resize(2);
  problem.setups.push_back({0, {}, "", 10, ""});
  problem.outputs.resize(2);
  problem.observations = {{0, "a", first, 0.5, false, false, ""},
                          {0, "b", second, 0.5, false, false, ""},
                          {1, "c", third, 1.0, false, false, ""}};
  return problem;
}

SamplingSettings short_chains() {
  SamplingSettings settings;
  settings.chain = {2000, 500, 10, 1};
  settings.longer = 0;
  return settings;
}

TEST_CASE("a linear model with normal noise has its exact posterior") {
  const FitProblem problem = linear_problem(21.0, 21.6, 8.5);
  const Posterior posterior(problem, linear, {0, 0}, 0);
  SamplingSettings settings;
  settings.chain = {4000, 1000, 40, 1};
  const PosteriorDraws draws = sample(posterior, settings, {2, nullptr});
  REQUIRE(draws.agree());
  // Precision 1 + A' S^-1 A with rows (2, 1), (2, 1) of variance 1/4 and (1, -1) of variance 1; right side A' S^-1 y.
  const double p00 = 1 + 2 * 4 * 4 + 1, p01 = 2 * 4 * 2 - 1, p11 = 1 + 2 * 4 + 1;
  const double r0 = 4 * 2 * (1.0 + 1.6) - 1.5, r1 = 4 * (1.0 + 1.6) + 1.5;
  const double det = p00 * p11 - p01 * p01;
  const double mean[2] = {(p11 * r0 - p01 * r1) / det, (p00 * r1 - p01 * r0) / det};
  const double variance[2] = {p11 / det, p00 / det};
  const double four = 4 / std::sqrt(draws.least_effective());
  for (const std::size_t k : {0U, 1U}) {
    double m = 0, v = 0;
    for (const auto& z : draws.scores) m += z[k] / static_cast<double>(draws.scores.size());
    for (const auto& z : draws.scores) v += (z[k] - m) * (z[k] - m) / static_cast<double>(draws.scores.size());
    CHECK(m == Approx(mean[k]).margin(four * std::sqrt(variance[k])));
    CHECK(v == Approx(variance[k]).epsilon(four * std::sqrt(2.0)));
    CHECK(draws.mode[k] == Approx(mean[k]).margin(1e-3));
  }
}

TEST_CASE("specimens of one output share its common deviation") {
  // Two numbers with spread 1/2 and a common deviation c: covariance ((1/4 + c^2, c^2), (c^2, 1/4 + c^2)).
  FitProblem problem = linear_problem(21.0, 21.6, 0);
  problem.observations.pop_back();
  constexpr double c = 0.7;
  const Posterior posterior(problem, linear, {c, 0}, 0);
  const auto exact = [&](double f) {
    const double a = 0.25 + c * c, b = c * c, det = a * a - b * b, x = 21.0 - f, y = 21.6 - f;
    return -0.5 * (a * x * x - 2 * b * x * y + a * y * y) / det - 0.5 * std::log(det);
  };
  const auto of = [&](double z) {
    const std::vector<double> scores{z, 0};
    return posterior.log_density(scores) + 0.5 * z * z;
  };
  CHECK(of(0.4) - of(-0.3) == Approx(exact(20.8) - exact(19.4)).epsilon(1e-9));
  CHECK(posterior.common_deviation(0, 20, 0) == c);
  CHECK(posterior.common_deviation(0, 20, 0.1) == Approx(std::hypot(c, 2)));
}

TEST_CASE("a dry-out that did not happen says only that it comes later") {
  FitProblem problem = linear_problem(0, 0, 0);
  problem.observations = {{1, "a", 0, 0.5, true, false, ""}};
  const Posterior posterior(problem, linear, {0, 0}, 0);
  const auto of = [&](double z) {
    const std::vector<double> scores{z, 0};
    return posterior.log_density(scores) + 0.5 * z * z;
  };
  CHECK(of(0) == Approx(0).margin(1e-9));  // computed 10 s, the end of the activation
  CHECK(of(-0.5) == Approx(std::log(std::erfc(1 / std::sqrt(2.0)))).margin(1e-9));  // one deviation before the end
}

TEST_CASE("the discrepancy has the prior it states") {
  CHECK(discrepancy_at(0, 0.1) == Approx(0.0674490));  // median of a half normal distribution
  CHECK(discrepancy_at(score_of(0.95), 0.1) == Approx(0.1959964));
}

TEST_CASE("intervals cover the truth of synthetic sets as often as they say, and its ranks are uniform") {
  constexpr int sets = 100;
  constexpr double scale = 0.05;
  constexpr std::size_t bins = 8;
  std::vector<double> counts(bins, 0);
  int covered = 0, all = 0;
  for (int set = 0; set < sets; ++set) {
    CounterRandom chance(scrambled(77, static_cast<std::uint64_t>(set)));
    const std::vector<double> truth{chance.normal(), chance.normal(), chance.normal()};
    const double t = discrepancy_at(truth[2], scale);
    const double f = 20 + 2 * truth[0] + truth[1], g = 10 + truth[0] - truth[1];
    const double off_f = t * f * chance.normal(), off_g = t * g * chance.normal();
    const FitProblem problem = linear_problem(f + off_f + 0.5 * chance.normal(), f + off_f + 0.5 * chance.normal(),
                                              g + off_g + chance.normal());
    const Posterior posterior(problem, linear, {0, 0}, scale);
    SamplingSettings settings = short_chains();
    settings.seed = set + 1;
    const PosteriorDraws draws = sample(posterior, settings, {2, nullptr});
    for (std::size_t k = 0; k < truth.size(); ++k) {
      double below = 0;
      for (const auto& z : draws.scores) below += z[k] < truth[k] ? 1 : 0;
      const double rank = below / static_cast<double>(draws.scores.size());
      counts[std::min(bins - 1, static_cast<std::size_t>(rank * bins))] += 1;
      covered += rank > 0.05 && rank < 0.95 ? 1 : 0;
      ++all;
    }
  }
  double chi_square = 0;
  const double expected = static_cast<double>(all) / bins;
  for (const double count : counts) chi_square += (count - expected) * (count - expected) / expected;
  INFO("covered " << covered << " of " << all << ", chi square " << chi_square);
  CHECK(chi_square < 24.3);  // one in a thousand of seven degrees of freedom (tables)
  // Three standard errors of a share of 0.9.
  CHECK(std::abs(covered / static_cast<double>(all) - 0.9) < 3 * std::sqrt(0.09 / all));
}

}  // namespace
}  // namespace dryfront
