// The fit: runs, emulator, posterior, refined until the emulator is good enough where the posterior is.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "studies/fit/emulator.hpp"
#include "studies/fit/problem.hpp"
#include "studies/fit/sampling.hpp"

namespace dryfront {

struct FitSettings {
  double discrepancy = usual_discrepancy;  // scale of the prior; 0: the model is taken to be right
  int seed = 1;
  std::size_t first_points = 0;  // of the design; 0: 20 for each parameter, at least 40
  int rounds = 4;                // of refinement at most
  SamplingSettings sampling{};
};

// How far the emulator was off at points of the posterior that it had not seen, by output.
struct EmulatorTest {
  std::size_t points = 0;         // tested
  std::vector<double> error;      // root mean square, in the output's unit
  std::vector<double> deviation;  // of the computed value over the posterior
  std::vector<bool> counts;       // not of what could be measured only: that is ranked, not estimated
  double worst_ratio() const;     // greatest error/deviation of those that count
};
// The error a fit should stay below, as a share of the posterior's deviation.
inline constexpr double wanted_ratio = 0.2;

struct FitWork {
  DrawnCase drawn;
  KnownRuns& known;
  ParallelRuns how;                            // on_progress is not used
  std::function<void(double share)> on_share;  // of the whole; may be empty
};

struct Fit {
  FitProblem problem;
  FitSettings settings;
  std::size_t runs = 0, failed = 0, past_range = 0, first_points = 0;
  std::string reason;               // of the first failure
  std::vector<EmulatorTest> tests;  // one for each round
  std::shared_ptr<const Emulator> emulator;
  std::vector<double> errors;  // of the emulator, as the likelihood has them
  PosteriorDraws draws;
  bool stopped = false;
};

// The posterior of a fit as it stands.
Posterior posterior_of(const Fit& fit);

// Throws NumericalFailure when too few runs have a result. `stopped` where it was ended early: there is no result then.
Fit fit(FitProblem problem, const FitSettings& settings, const FitWork& work);

}  // namespace dryfront
