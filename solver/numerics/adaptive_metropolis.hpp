// Draws from a distribution of which only the logarithm of the density is known, up to a constant.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "numerics/dense.hpp"

namespace dryfront {

using LogDensity = std::function<double(std::span<const double>)>;

struct ChainSettings {
  std::size_t warm_up = 4000;  // steps that adapt the proposal and are not kept
  std::size_t kept = 1000;     // draws
  std::size_t every = 10;      // steps from one draw to the next
  std::uint64_t key = 1;       // of the chain's chance
};

struct Chain {
  DenseMatrix<double> draws;  // a row each
  double accepted = 0;        // share of the steps after the warm-up
};

// Metropolis steps whose normal proposal has the covariance of the chain so far (Haario, Saksman, Tamminen 2001,
// Bernoulli 7:223) times a factor that is moved until 23.4 % are accepted (Roberts, Gelman, Gilks 1997). Both are held
// after the warm-up, so that what is kept comes from one Markov chain with the wanted distribution. The density must
// not be zero at `start`.
Chain adaptive_metropolis(const LogDensity& density, std::span<const double> start, const ChainSettings& settings);

// How well several chains of equal length agree about one number, `draws[chain][draw]`, at least two chains of four
// draws (asserted): split R-hat and the effective sample size of all chains together, both of the ranks turned into
// normal quantiles (Vehtari, Gelman, Simpson, Carpenter, Buerkner 2021, Bayesian Analysis 16:667), the correlations
// summed up to where Geyer's initial monotone sequence ends (Geyer 1992, Statistical Science 7:473, from memory). R-hat
// is infinite where nothing moves.
struct Agreement {
  double r_hat = 0;
  double effective = 0;  // draws
};
Agreement agreement(const std::vector<std::vector<double>>& draws);

}  // namespace dryfront
