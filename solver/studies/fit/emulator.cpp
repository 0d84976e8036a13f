#include "studies/fit/emulator.hpp"

#include <fmt/format.h>

#include <cmath>

#include "simulation/run.hpp"

namespace dryfront {

Emulator::Emulator(const FitProblem& problem, const FitRuns& runs, const ParallelRuns& how, const Emulator* earlier)
    : processes_(problem.outputs.size()) {
  run_in_parallel(processes_.size(), {how.threads, how.stop}, [&](std::size_t k) {
    const std::vector<double>& all = runs.values(k);
    std::vector<double> values, places;
    for (std::size_t point = 0; point < all.size(); ++point) {
      if (std::isnan(all[point])) continue;
      values.push_back(all[point]);
      places.insert(places.end(), runs.points()[point].begin(), runs.points()[point].end());
    }
    const std::size_t dimensions = problem.parameters.size();
    if (2 * values.size() < all.size() || values.size() < dimensions + 3) {
      throw NumericalFailure(fmt::format("{}: {} of {} runs have no result; the first: {}", problem.outputs[k].words,
                                         all.size() - values.size(), all.size(), runs.reason()));
    }
    DenseMatrix<double> points(values.size(), dimensions);
    points.values = std::move(places);
    processes_[k].emplace(points, values, earlier == nullptr ? nullptr : &*earlier->processes_[k]);
  });
}

void Emulator::predict(std::span<const double> shares, std::span<double> outputs) const {
  for (std::size_t k = 0; k < outputs.size(); ++k) outputs[k] = processes_[k]->mean(shares);
}

std::vector<double> Emulator::left_out_errors() const {
  std::vector<double> errors;
  for (const auto& process : processes_) {
    const std::vector<double> residuals = process->left_out();
    double sum = 0;
    for (const double r : residuals) sum += r * r;
    errors.push_back(std::sqrt(sum / static_cast<double>(residuals.size())));
  }
  return errors;
}

}  // namespace dryfront
