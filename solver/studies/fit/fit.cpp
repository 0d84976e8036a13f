#include "studies/fit/fit.hpp"

#include <algorithm>
#include <cmath>

#include "numerics/counter_random.hpp"

namespace dryfront {
namespace {

// Points of the posterior, spread over the draws of all chains, each one at a place drawn by chance.
std::vector<Shares> fresh_points(const Posterior& posterior, const PosteriorDraws& draws, std::size_t count,
                                 std::uint64_t key) {
  CounterRandom chance(key);
  std::vector<Shares> points;
  const std::size_t slice = draws.scores.size() / count;
  for (std::size_t k = 0; k < count; ++k) {
    const auto within = static_cast<std::size_t>(chance.uniform() * static_cast<double>(slice));
    points.push_back(posterior.shares(draws.scores[k * slice + within]));
  }
  return points;
}

double deviation_of(const std::vector<double>& values) {
  double mean = 0, squares = 0;
  for (const double value : values) mean += value / static_cast<double>(values.size());
  for (const double value : values) squares += (value - mean) * (value - mean);
  return std::sqrt(squares / static_cast<double>(values.size()));
}

// The emulator at the runs from number `first` on, which it has not seen.
EmulatorTest tested(const FitProblem& problem, const FitRuns& runs, std::size_t first, const Emulator& emulator,
                    const Posterior& posterior, const PosteriorDraws& draws) {
  EmulatorTest test;
  const std::size_t outputs = problem.outputs.size();
  std::vector<double> squares(outputs, 0), counted(outputs, 0), predicted(outputs);
  for (std::size_t point = first; point < runs.points().size(); ++point) {
    ++test.points;
    emulator.predict(runs.points()[point], predicted);
    for (std::size_t k = 0; k < outputs; ++k) {
      const double off = runs.values(k)[point] - predicted[k];
      if (std::isnan(off)) continue;
      squares[k] += off * off;
      counted[k] += 1;
    }
  }
  std::vector<std::vector<double>> over(outputs);
  constexpr std::size_t every = 8;
  for (std::size_t draw = 0; draw < draws.scores.size(); draw += every) {
    const std::vector<double> at = posterior.outputs(draws.scores[draw]);
    for (std::size_t k = 0; k < outputs; ++k) over[k].push_back(at[k]);
  }
  const std::vector<double> left_out = emulator.left_out_errors();
  for (std::size_t k = 0; k < outputs; ++k) {
    // Where every fresh run has failed, what the runs before say about each other is all there is.
    test.error.push_back(counted[k] > 0 ? std::sqrt(squares[k] / counted[k]) : left_out[k]);
    test.deviation.push_back(deviation_of(over[k]));
    test.counts.push_back(problem.is_asked_for(k));
  }
  return test;
}

// A part of the work, as a share of the whole.
ParallelRuns part_of(const FitWork& work, double from, double to) {
  ParallelRuns how = work.how;
  how.on_progress = [on = work.on_share, from, to](std::size_t done, std::size_t all) {
    if (on) on(from + (to - from) * static_cast<double>(done) / static_cast<double>(all));
  };
  return how;
}

Prediction prediction_of(std::shared_ptr<const Emulator> emulator) {
  return [emulator = std::move(emulator)](std::span<const double> shares, std::span<double> outputs) {
    emulator->predict(shares, outputs);
  };
}

}  // namespace

double EmulatorTest::worst_ratio() const {
  double worst = 0;
  for (std::size_t k = 0; k < error.size(); ++k) {
    // An output that nothing moves has neither.
    if (counts[k] && error[k] > 0) worst = std::max(worst, error[k] / deviation[k]);
  }
  return worst;
}

Posterior posterior_of(const Fit& fit) {
  return {fit.problem, prediction_of(fit.emulator), fit.errors, fit.settings.discrepancy};
}

Fit fit(FitProblem problem, const FitSettings& settings, const FitWork& work) {
  Fit fit{std::move(problem), settings, 0, 0, 0, 0, "", {}, nullptr, {}, {}, false};
  const std::size_t dimensions = fit.problem.parameters.size();
  constexpr std::size_t for_each = 20, least = 40;
  fit.first_points = settings.first_points > 0 ? settings.first_points : std::max(least, for_each * dimensions);
  const std::size_t fresh = std::max(std::size_t{12}, 4 * dimensions);
  FitRuns runs(fit.problem, work.drawn, work.known);
  constexpr double after_design = 0.5, before_end = 0.9;
  runs.add(sobol_points(dimensions, fit.first_points, settings.seed), part_of(work, 0, after_design));
  const auto ended = [&] { return fit.stopped = work.how.stopped(); };
  if (ended()) return fit;
  fit.emulator = std::make_shared<Emulator>(fit.problem, runs, work.how);
  fit.errors = fit.emulator->left_out_errors();
  SamplingSettings quick = settings.sampling;
  quick.longer = 0;
  for (int round = 0; round < settings.rounds && !ended(); ++round) {
    const Posterior posterior = posterior_of(fit);
    const PosteriorDraws draws = sample(posterior, quick, work.how);
    if (ended()) return fit;
    const std::size_t first = runs.points().size();
    const double step = (before_end - after_design) / settings.rounds, from = after_design + round * step;
    const auto key = scrambled(static_cast<std::uint64_t>(settings.seed), 1000 + static_cast<std::uint64_t>(round));
    runs.add(fresh_points(posterior, draws, fresh, key), part_of(work, from, from + step));
    if (ended()) return fit;
    fit.tests.push_back(tested(fit.problem, runs, first, *fit.emulator, posterior, draws));
    // What was tested is the emulator before it learns these runs: afterwards it is rather better.
    fit.errors = fit.tests.back().error;
    fit.emulator = std::make_shared<Emulator>(fit.problem, runs, work.how, fit.emulator.get());
    if (fit.tests.back().worst_ratio() < wanted_ratio) break;
  }
  if (ended()) return fit;
  SamplingSettings last = settings.sampling;
  fit.draws = sample(posterior_of(fit), last, work.how);
  fit.runs = runs.runs();
  fit.failed = runs.failed();
  fit.past_range = runs.past_range();
  fit.reason = runs.reason();
  ended();
  return fit;
}

}  // namespace dryfront
