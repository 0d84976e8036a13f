// A Gaussian process for each output of the runs.
#pragma once

#include <optional>
#include <vector>

#include "numerics/gaussian_process.hpp"
#include "studies/fit/posterior.hpp"
#include "studies/fit/runs.hpp"

namespace dryfront {

class Emulator {
 public:
  // Throws NumericalFailure when too few runs of a set-up have a result. The processes are fitted side by side; the
  // result does not depend on the number of threads. With `earlier`, from where its processes ended.
  Emulator(const FitProblem& problem, const FitRuns& runs, const ParallelRuns& how, const Emulator* earlier = nullptr);

  void predict(std::span<const double> shares, std::span<double> outputs) const;
  // Root mean square of value less prediction from the other points, per output.
  std::vector<double> left_out_errors() const;

 private:
  std::vector<std::optional<GaussianProcess>> processes_;
};

}  // namespace dryfront
