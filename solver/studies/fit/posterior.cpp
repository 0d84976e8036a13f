#include "studies/fit/posterior.hpp"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

namespace dryfront {

double share_of_score(double score) {
  // Not quite the ends, at which a quantile is no finite number.
  constexpr double least = 1e-12;
  return std::clamp(0.5 * std::erfc(-score / std::numbers::sqrt2), least, 1 - least);
}

double discrepancy_at(double score, double scale) {
  return scale * std::numbers::sqrt2 * boost::math::erf_inv(share_of_score(score));
}

Posterior::Posterior(const FitProblem& problem, Prediction prediction, std::vector<double> errors, double scale)
    : parameters_(problem.parameters.size()),
      outputs_(problem.outputs.size()),
      prediction_(std::move(prediction)),
      errors_(std::move(errors)),
      scale_(scale) {
  for (std::size_t k = 0; k < outputs_; ++k) {
    Group group{k, problem.setups[problem.outputs[k].setup].activation, {}};
    for (const Observation& observation : problem.observations) {
      if (observation.output == k && !observation.held_out) group.of.push_back(&observation);
    }
    if (!group.of.empty()) groups_.push_back(std::move(group));
  }
}

Shares Posterior::shares(std::span<const double> scores) const {
  Shares found;
  for (std::size_t k = 0; k < parameters_; ++k) found.push_back(share_of_score(scores[k]));
  return found;
}

double Posterior::discrepancy(std::span<const double> scores) const {
  return scale_ > 0 ? discrepancy_at(scores.back(), scale_) : 0;
}

std::vector<double> Posterior::outputs(std::span<const double> scores) const {
  std::vector<double> found(outputs_);
  prediction_(shares(scores), found);
  return found;
}

double Posterior::common_deviation(std::size_t output, double computed, double discrepancy) const {
  return std::hypot(discrepancy * computed, errors_[output]);
}

double Posterior::log_likelihood(const Group& group, double computed, double discrepancy) const {
  const double common = common_deviation(group.output, computed, discrepancy);
  // With W = sum 1/s^2: |S| = prod s^2 (1 + c^2 W), S^-1 by Sherman and Morrison 1950.
  double weights = 0, pull = 0, squares = 0, value = 0;
  for (const Observation* o : group.of) {
    if (o->none) {
      const double deviation = std::hypot(o->spread, common) * std::numbers::sqrt2;
      value += std::log(std::clamp(std::erfc((group.end - computed) / deviation), 1e-300, 1.0));
      continue;
    }
    const double weight = 1 / (o->spread * o->spread), off = o->value - computed;
    weights += weight;
    pull += weight * off;
    squares += weight * off * off;
  }
  const double factor = 1 + common * common * weights;
  return value - 0.5 * (squares - common * common * pull * pull / factor) - 0.5 * std::log(factor);
}

double Posterior::log_density(std::span<const double> scores) const {
  double value = 0;
  for (const double z : scores) value -= 0.5 * z * z;
  const std::vector<double> computed = outputs(scores);
  const double off = discrepancy(scores);
  for (const Group& group : groups_) value += log_likelihood(group, computed[group.output], off);
  return value;
}

}  // namespace dryfront
