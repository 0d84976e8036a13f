// The runs of a fit: every set-up at every point of the parameters.
#pragma once

#include <string>
#include <vector>

#include "studies/fit/known_runs.hpp"
#include "studies/fit/problem.hpp"
#include "studies/parallel_runs.hpp"

namespace dryfront {

// A point in the unit cube: the share of each parameter's prior that lies below its value.
using Shares = std::vector<double>;

// Point number `index` of a Sobol sequence with a digital shift drawn from `seed`, in `dimensions`.
std::vector<Shares> sobol_points(std::size_t dimensions, std::size_t count, int seed);

// The overrides that set the parameters to the values at `shares`, key.path=value.
std::vector<std::string> settings_at(const FitProblem& problem, const Shares& shares);

// The value of a parameter at a share of its prior, in its key's unit.
double parameter_at(const PlanAxis& parameter, double share);

class FitRuns {
 public:
  // `known` must outlive the object.
  FitRuns(const FitProblem& problem, DrawnCase drawn, KnownRuns& known)
      : problem_(problem), drawn_(std::move(drawn)), known_(known) {}

  // Runs all set-ups at the points, behind those there are. Returns without them when stopped.
  void add(const std::vector<Shares>& points, const ParallelRuns& how);

  const std::vector<Shares>& points() const { return points_; }
  // Per point; not a number where the run has no result.
  const std::vector<double>& values(std::size_t output) const { return values_[output]; }
  std::size_t runs() const { return points_.size() * problem_.setups.size(); }
  std::size_t failed() const { return failed_; }
  const std::string& reason() const { return reason_; }   // of the first failure
  std::size_t past_range() const { return past_range_; }  // runs that got hotter than the model knows tissue

 private:
  const FitProblem& problem_;
  DrawnCase drawn_;
  KnownRuns& known_;
  std::vector<Shares> points_;
  std::vector<std::vector<double>> values_;  // per output, per point
  std::size_t failed_ = 0, past_range_ = 0;
  std::string reason_;
};

}  // namespace dryfront
