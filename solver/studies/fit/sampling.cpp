#include "studies/fit/sampling.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "numerics/counter_random.hpp"
#include "numerics/maximum.hpp"

namespace dryfront {
namespace {

// Nobody's 90 % interval reaches so far out in a score whose prior is standard normal.
constexpr double farthest = 6;

std::vector<double> start_of_chain(const Posterior& posterior, std::uint64_t key) {
  constexpr int tried = 20;
  CounterRandom chance(key);
  std::vector<double> best;
  double greatest = -std::numeric_limits<double>::infinity();
  for (int k = 0; k < tried || best.empty(); ++k) {
    std::vector<double> scores(posterior.dimensions());
    for (double& z : scores) z = chance.normal();
    const double density = posterior.log_density(scores);
    if (std::isfinite(density) && density > greatest) {
      greatest = density;
      best = std::move(scores);
    }
  }
  return best;
}

void find_mode(const Posterior& posterior, const SamplingSettings& settings, const ParallelRuns& how,
               PosteriorDraws& draws) {
  constexpr std::size_t starts = 6;
  constexpr double tolerance = 1e-4, near = 1.5;
  constexpr int most = 3000;
  const std::size_t dimensions = posterior.dimensions();
  const std::vector<Shares> points = sobol_points(dimensions, starts, settings.seed);
  const Box box{std::vector<double>(dimensions, -farthest), std::vector<double>(dimensions, farthest)};
  std::vector<Maximum> found(starts);
  run_in_parallel(starts, {how.threads, how.stop}, [&](std::size_t k) {
    std::vector<double> start;
    for (const double share : points[k]) start.push_back(near * (2 * share - 1));
    found[k] = climb([&](std::span<const double> z, std::span<double>) { return posterior.log_density(z); }, box, start,
                     tolerance, most);
  });
  if (how.stopped()) return;
  const auto best = std::max_element(found.begin(), found.end(),
                                     [](const Maximum& a, const Maximum& b) { return a.value < b.value; });
  draws.mode = best->at;
  draws.mode_density = best->value;
}

void judge(const std::vector<Chain>& chains, std::size_t dimensions, PosteriorDraws& draws) {
  draws.scores.clear();
  draws.agreement.clear();
  draws.accepted = 1;
  std::vector<std::vector<std::vector<double>>> columns(dimensions);  // per dimension, chain, draw
  for (const Chain& chain : chains) {
    draws.accepted = std::min(draws.accepted, chain.accepted);
    for (auto& column : columns) column.emplace_back();
    for (std::size_t k = 0; k < chain.draws.rows; ++k) {
      const double* row = &chain.draws(k, 0);
      draws.scores.emplace_back(row, row + dimensions);
      for (std::size_t i = 0; i < dimensions; ++i) columns[i].back().push_back(row[i]);
    }
  }
  for (const auto& column : columns) draws.agreement.push_back(agreement(column));
}

}  // namespace

double PosteriorDraws::worst_r_hat() const {
  double worst = 0;
  for (const Agreement& a : agreement) worst = std::max(worst, a.r_hat);
  return worst;
}

double PosteriorDraws::least_effective() const {
  double least = std::numeric_limits<double>::infinity();
  for (const Agreement& a : agreement) least = std::min(least, a.effective);
  return least;
}

bool PosteriorDraws::agree() const {
  return worst_r_hat() < greatest_r_hat && least_effective() >= least_effective_draws;
}

PosteriorDraws sample(const Posterior& posterior, const SamplingSettings& settings, const ParallelRuns& how) {
  PosteriorDraws draws;
  find_mode(posterior, settings, how, draws);
  ChainSettings chain = settings.chain;
  for (int attempt = 0; !how.stopped(); ++attempt) {
    std::vector<std::optional<Chain>> made(settings.chains);
    run_in_parallel(settings.chains, {how.threads, how.stop}, [&](std::size_t k) {
      ChainSettings own = chain;
      own.key = scrambled(static_cast<std::uint64_t>(settings.seed), k);
      made[k] = adaptive_metropolis([&](std::span<const double> z) { return posterior.log_density(z); },
                                    start_of_chain(posterior, ~own.key), own);
    });
    if (how.stopped()) break;
    std::vector<Chain> chains;
    for (std::optional<Chain>& one : made) chains.push_back(std::move(*one));
    judge(chains, posterior.dimensions(), draws);
    draws.steps = chain.every * chain.kept;
    if (draws.agree() || attempt >= settings.longer) break;
    chain.warm_up *= 4;
    chain.every *= 4;
  }
  return draws;
}

}  // namespace dryfront
