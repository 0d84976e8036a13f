#include "numerics/adaptive_metropolis.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include "numerics/counter_random.hpp"

namespace dryfront {
namespace {

using Eigen::Index;
using Series = std::vector<double>;

// The normal proposal and what it learns in the warm-up.
class Proposal {
 public:
  explicit Proposal(Index dimensions)
      : mean_(Eigen::VectorXd::Zero(dimensions)),
        covariance_(Eigen::MatrixXd::Identity(dimensions, dimensions)),
        factor_(covariance_),
        log_scale_(std::log(2.38 / std::sqrt(static_cast<double>(dimensions)))) {}

  Eigen::VectorXd step(CounterRandom& chance) const {
    Eigen::VectorXd normal(factor_.rows());
    for (Index k = 0; k < normal.size(); ++k) normal(k) = chance.normal();
    return std::exp(log_scale_) * (factor_ * normal);
  }

  // After step number `count` (from 1), which was accepted with this probability and ended at x.
  void learn(const Eigen::VectorXd& x, double probability, std::size_t count) {
    constexpr double wanted = 0.234, slowing = 0.6;
    log_scale_ += (probability - wanted) / std::pow(static_cast<double>(count), slowing);
    // The covariance forgets the way from the start: the weight of what is new falls more slowly than 1/count.
    const double weight = std::pow(static_cast<double>(count) + 1, -0.7);
    const Eigen::VectorXd away = x - mean_;
    mean_ += weight * away;
    covariance_ += weight * (away * away.transpose() - covariance_);
    constexpr std::size_t first = 100, between = 20;
    if (count < first || count % between != 0) return;
    const double floor = 1e-10 * covariance_.trace();
    const Eigen::LLT<Eigen::MatrixXd> factor(covariance_ +
                                             floor * Eigen::MatrixXd::Identity(mean_.size(), mean_.size()));
    if (factor.info() == Eigen::Success) factor_ = factor.matrixL();
  }
  void begin_at(const Eigen::VectorXd& x) { mean_ = x; }

 private:
  Eigen::VectorXd mean_;
  Eigen::MatrixXd covariance_, factor_;
  double log_scale_;
};

double mean_of(std::span<const double> x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}

// Every chain cut into halves.
std::vector<Series> halves(const std::vector<Series>& draws) {
  std::vector<Series> split;
  for (const Series& chain : draws) {
    const auto half = static_cast<std::ptrdiff_t>(chain.size() / 2);
    split.emplace_back(chain.begin(), chain.begin() + half);
    split.emplace_back(chain.end() - half, chain.end());
  }
  return split;
}

// Ranks over all chains, ties at their mean rank, as normal quantiles at (rank - 3/8)/(count + 1/4).
void rank_normalise(std::vector<Series>& chains) {
  std::vector<double*> all;
  for (Series& chain : chains) {
    for (double& x : chain) all.push_back(&x);
  }
  std::stable_sort(all.begin(), all.end(), [](const double* a, const double* b) { return *a < *b; });
  const auto count = static_cast<double>(all.size());
  for (std::size_t k = 0; k < all.size();) {
    std::size_t end = k + 1;
    while (end < all.size() && *all[end] == *all[k]) ++end;
    const double rank = 0.5 * static_cast<double>(k + 1 + end);
    const double quantile = -std::numbers::sqrt2 * boost::math::erfc_inv(2 * (rank - 0.375) / (count + 0.25));
    for (; k < end; ++k) *all[k] = quantile;
  }
}

double covariance_at_lag(const Series& x, double mean, std::size_t lag) {
  double sum = 0;
  for (std::size_t k = 0; k + lag < x.size(); ++k) sum += (x[k] - mean) * (x[k + lag] - mean);
  return sum / static_cast<double>(x.size());
}

}  // namespace

Chain adaptive_metropolis(const LogDensity& density, std::span<const double> start, const ChainSettings& settings) {
  const auto dimensions = static_cast<Index>(start.size());
  CounterRandom chance(settings.key);
  Proposal proposal(dimensions);
  Eigen::VectorXd x = Eigen::Map<const Eigen::VectorXd>(start.data(), dimensions);
  proposal.begin_at(x);
  const auto density_at = [&](const Eigen::VectorXd& at) {
    return density(std::span<const double>(at.data(), start.size()));
  };
  double here = density_at(x);
  assert(std::isfinite(here));
  const auto step = [&] {  // with which probability it was accepted
    const Eigen::VectorXd there = x + proposal.step(chance);
    const double value = density_at(there);
    const double probability = std::isnan(value) ? 0 : std::exp(std::min(0.0, value - here));
    if (chance.uniform() < probability) {
      x = there;
      here = value;
    }
    return probability;
  };
  for (std::size_t k = 1; k <= settings.warm_up; ++k) {
    const double probability = step();
    proposal.learn(x, probability, k);
  }
  Chain chain{DenseMatrix<double>(settings.kept, start.size()), 0};
  for (std::size_t k = 0; k < settings.kept; ++k) {
    for (std::size_t m = 0; m < settings.every; ++m) chain.accepted += step();
    std::copy(x.data(), x.data() + dimensions, &chain.draws(k, 0));
  }
  chain.accepted /= static_cast<double>(settings.kept * settings.every);
  return chain;
}

Agreement agreement(const std::vector<Series>& draws) {
  assert(draws.size() >= 2 && draws.front().size() >= 4);
  std::vector<Series> chains = halves(draws);
  rank_normalise(chains);
  const auto count = static_cast<double>(chains.size()), length = static_cast<double>(chains.front().size());
  Series means;
  double within = 0;
  for (const Series& chain : chains) {
    means.push_back(mean_of(chain));
    within += covariance_at_lag(chain, means.back(), 0) * length / (length - 1) / count;
  }
  const double all = mean_of(means);
  double between = 0;  // variance of the means
  for (const double mean : means) between += (mean - all) * (mean - all) / (count - 1);
  const double variance = within * (length - 1) / length + between;
  if (!(within > 0)) return {std::numeric_limits<double>::infinity(), 0};
  const auto correlation = [&](std::size_t lag) {
    double covariance = 0;
    for (std::size_t k = 0; k < chains.size(); ++k) covariance += covariance_at_lag(chains[k], means[k], lag) / count;
    return 1 - (within - covariance * length / (length - 1)) / variance;
  };
  double sum = -1, least = std::numeric_limits<double>::infinity();  // of 2 (rho_2k + rho_2k+1), falling
  for (std::size_t lag = 0; lag + 1 < chains.front().size(); lag += 2) {
    const double pair = (lag == 0 ? 1 : correlation(lag)) + correlation(lag + 1);
    if (pair <= 0) break;
    least = std::min(least, pair);
    sum += 2 * least;
  }
  const double total = count * length;
  // Not more than total log10(total): the bound of Vehtari et al. on antithetic chains.
  return {std::sqrt(variance / within), std::min(total / std::max(sum, 1e-12), total * std::log10(total))};
}

}  // namespace dryfront
