// Draws from a posterior, by several chains, and whether they agree.
#pragma once

#include <vector>

#include "numerics/adaptive_metropolis.hpp"
#include "studies/fit/posterior.hpp"

namespace dryfront {

struct PosteriorDraws {
  std::vector<std::vector<double>> scores;  // one chain after the other
  std::vector<Agreement> agreement;         // per dimension
  double accepted = 0;                      // least share of a chain
  std::size_t steps = 0;                    // per chain, warm-up left out
  std::vector<double> mode;                 // scores of the greatest density
  double mode_density = 0;

  double worst_r_hat() const;
  double least_effective() const;
  bool agree() const;
};

// Split R-hat and effective draws from which on the draws may be quoted (Vehtari et al. 2021).
inline constexpr double greatest_r_hat = 1.01, least_effective_draws = 400;

struct SamplingSettings {
  std::size_t chains = 4;
  ChainSettings chain{};
  int longer = 3;  // how often the steps are multiplied by four when the chains do not agree
  int seed = 1;
};

// The mode by climbing from several points of a low-discrepancy sequence; the chains begin at points drawn from the
// prior, the best of several each, so that agreement means something. Chains are run side by side; the draws do not
// depend on the number of threads. Empty when stopped.
PosteriorDraws sample(const Posterior& posterior, const SamplingSettings& settings, const ParallelRuns& how);

}  // namespace dryfront
