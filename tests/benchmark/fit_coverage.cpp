// Whether the intervals of a fit are honest: synthetic sets of the demonstration's specimens, their truth drawn from
// the prior and their numbers computed by the emulator, with noise and discrepancy as the likelihood has them. The
// 90 % intervals have to cover the truth in about 90 %, and its ranks among the draws to be uniform (simulation-based
// calibration, Talts et al. 2018, arXiv:1804.06788). Usage: benchmark_fit [SETS] [THREADS]
#include <fmt/format.h>

#include <atomic>
#include <cmath>
#include <cstdlib>
#include <mutex>
#include <thread>

#include "files/case/case_file.hpp"
#include "files/plan/assumed_ranges.hpp"
#include "numerics/counter_random.hpp"
#include "studies/attribution/quantities.hpp"
#include "studies/fit/fit.hpp"

namespace {

using namespace dryfront;

constexpr double scale = usual_discrepancy;
const std::filesystem::path tree = DRYFRONT_SOURCE_DIR;
const std::filesystem::path case_file = tree / "cases" / "fit" / "two_settings.toml";

Case drawn(const std::vector<std::string>& settings) {
  std::vector<std::string> overrides{"grid.fine_mm=0.05", "grid.growth=1.12", "time.tolerance=4", "output.frames=1"};
  overrides.insert(overrides.end(), settings.begin(), settings.end());
  return read_case(case_file, overrides, tree / "cases" / "tissue");
}

FitProblem demonstration() {
  const Case c = drawn({});
  const AssumedRanges ranges = read_assumed_ranges(tree / "cases" / "sweeps" / "assumed_parameters.toml", c, {});
  const MeasuredSections measured =
      read_sections(tree / "cases" / "fit" / "two_settings.csv", c, principal_effect(c), {}, SectionsUse::measured);
  const std::vector<std::string> keys{"tissue.liver_ex_vivo.damage.frequency_1_s",
                                      "tissue.liver_ex_vivo.conductivity_S_m", "electrode.contact_fraction",
                                      "electrode.capacity_J_K"};
  return fit_problem(c, chosen_parameters(ranges.axes, keys), measured, {}, drawn);
}

// The shares of the draws below the truth, one for each score.
std::vector<double> ranks_of_set(FitProblem problem, const Prediction& prediction, std::uint64_t set) {
  CounterRandom chance(scrambled(2024, set));
  std::vector<double> truth(problem.parameters.size() + 1);
  for (double& z : truth) z = chance.normal();
  const Posterior made(problem, prediction, std::vector<double>(problem.outputs.size(), 0), scale);
  const std::vector<double> computed = made.outputs(truth);
  std::vector<double> off;
  for (std::size_t k = 0; k < computed.size(); ++k) {
    off.push_back(made.common_deviation(k, computed[k], made.discrepancy(truth)) * chance.normal());
  }
  for (Observation& o : problem.observations) {
    o.value = computed[o.output] + off[o.output] + o.spread * chance.normal();
  }
  const Posterior posterior(problem, prediction, std::vector<double>(problem.outputs.size(), 0), scale);
  SamplingSettings settings;
  settings.seed = static_cast<int>(set) + 1;
  const PosteriorDraws draws = sample(posterior, settings, {1, nullptr});
  std::vector<double> ranks;
  for (std::size_t k = 0; k < truth.size(); ++k) {
    double below = 0;
    for (const auto& z : draws.scores) below += z[k] < truth[k] ? 1 : 0;
    ranks.push_back(below / static_cast<double>(draws.scores.size()));
  }
  ranks.push_back(draws.agree() ? 1 : 0);
  return ranks;
}

void report(const std::string& words, const std::vector<double>& ranks) {
  constexpr std::size_t bins = 10;
  std::vector<double> counts(bins, 0);
  double covered = 0, chi_square = 0;
  for (const double rank : ranks) {
    counts[std::min(bins - 1, static_cast<std::size_t>(rank * bins))] += 1;
    covered += rank > 0.05 && rank < 0.95 ? 1 : 0;
  }
  const auto all = static_cast<double>(ranks.size());
  for (const double count : counts) chi_square += (count - all / bins) * (count - all / bins) / (all / bins);
  fmt::print("{:<45} covered {:5.1f} % of {:4}, chi square of the ranks {:5.1f} (9 degrees of freedom)\n", words,
             100 * covered / all, ranks.size(), chi_square);
}

}  // namespace

int main(int count, char** words) {
  const std::size_t sets = count > 1 ? std::strtoul(words[1], nullptr, 10) : 200;
  const int threads = count > 2 ? std::atoi(words[2]) : static_cast<int>(std::thread::hardware_concurrency());
  const FitProblem problem = demonstration();
  KnownRuns nothing;
  FitRuns runs(problem, drawn, nothing);
  const ParallelRuns how{threads, nullptr};
  runs.add(sobol_points(problem.parameters.size(), 120, 1), how);
  const Emulator emulator(problem, runs, how);
  const auto predict = [&emulator](std::span<const double> shares, std::span<double> outputs) {
    emulator.predict(shares, outputs);
  };
  std::vector<std::vector<double>> ranks(sets);
  run_in_parallel(sets, how, [&](std::size_t set) { ranks[set] = ranks_of_set(problem, predict, set); });
  std::vector<double> pooled;
  std::size_t agreed = 0;
  for (std::size_t k = 0; k <= problem.parameters.size(); ++k) {
    std::vector<double> own;
    for (const auto& of : ranks) own.push_back(of[k]);
    const bool parameter = k < problem.parameters.size();
    report(parameter ? problem.parameters[k].keys.front() : "discrepancy", own);
    if (parameter) pooled.insert(pooled.end(), own.begin(), own.end());
  }
  for (const auto& of : ranks) agreed += of.back() > 0 ? 1U : 0U;
  report("all parameters", pooled);
  fmt::print("chains agreed in {} of {} sets\n", agreed, sets);
  return 0;
}
