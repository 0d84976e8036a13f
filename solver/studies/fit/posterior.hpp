// What measurements say about parameters: prior, likelihood, and the emulator that makes both quick.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "studies/fit/problem.hpp"
#include "studies/fit/runs.hpp"

namespace dryfront {

// All outputs at a point of the unit cube.
using Prediction = std::function<void(std::span<const double> shares, std::span<double> outputs)>;

// Parameters are drawn as normal scores: z, whose share Phi(z) of the prior lies below the value. The prior is then
// standard normal in each, whatever its distribution. The last score is that of the discrepancy, when there is one.
double share_of_score(double score);

// The discrepancy: what the model itself is off by, an unknown factor for each output, shared by all specimens with
// that output; normal with mean 0 and deviation t times the computed value. t is a parameter like the others, its
// prior half normal with this scale.
inline constexpr double usual_discrepancy = 0.1;
double discrepancy_at(double score, double scale);

// log posterior of the scores, up to a constant. For each output with measurements y_i of spread s_i, computed value f,
// its emulator's error e and c^2 = t^2 f^2 + e^2:
//   y ~ normal(f, diag(s_i^2) + c^2 1 1')
// A dry-out that was not seen before the end a of the activation has the probability min(1, 2 Phi((f - a)/sqrt(s^2 +
// c^2))): 1 where the model does not dry out either, f = a.
class Posterior {
 public:
  // `errors` per output. `scale` of the discrepancy's prior; 0: none.
  Posterior(const FitProblem& problem, Prediction prediction, std::vector<double> errors, double scale);

  std::size_t dimensions() const { return parameters_ + (scale_ > 0 ? 1 : 0); }
  std::size_t parameters() const { return parameters_; }
  double log_density(std::span<const double> scores) const;

  Shares shares(std::span<const double> scores) const;       // of the parameters
  double discrepancy(std::span<const double> scores) const;  // t
  std::vector<double> outputs(std::span<const double> scores) const;
  // c of an output [its unit], at its computed value
  double common_deviation(std::size_t output, double computed, double discrepancy) const;

 private:
  struct Group {  // the fitted measurements of one output
    std::size_t output = 0;
    double end = 0;  // a [s]
    std::vector<const Observation*> of;
  };
  double log_likelihood(const Group& group, double computed, double discrepancy) const;

  std::size_t parameters_, outputs_;
  Prediction prediction_;
  std::vector<double> errors_;
  double scale_;
  std::vector<Group> groups_;
};

}  // namespace dryfront
