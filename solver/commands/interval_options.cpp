#include "commands/interval_options.hpp"

#include "commands/study_case.hpp"
#include "files/case/case_file.hpp"
#include "files/share_folder.hpp"
#include "report/progress.hpp"
#include "studies/interval/runs.hpp"

namespace dryfront {

void add_interval(CLI::App& command, IntervalArguments& arguments) {
  constexpr int fewest = 8, most = 10000;
  CLI::Option* interval =
      command
          .add_flag(
              "--interval{" + std::to_string(interval_points) + "}", arguments.points,
              "compute the 90 % range of the depths under the ranges of what is assumed; --interval=N: with N runs")
          ->check(CLI::Range(fewest, most));
  command
      .add_option("--ranges", arguments.ranges,
                  "the ranges, as the axes of a plan; those of the program when not given")
      ->type_name("PLAN.toml")
      ->needs(interval);
}

IntervalRanges interval_ranges(const IntervalArguments& arguments, const CaseArguments& of_case, const Case& c) {
  const std::filesystem::path file = arguments.ranges.empty()
                                         ? share_folder() / "cases" / "sweeps" / "assumed_parameters.toml"
                                         : std::filesystem::path(arguments.ranges);
  return {file, read_assumed_ranges(file, c, of_case.overrides)};
}

IntervalAnswer compute_interval(const IntervalArguments& arguments, const CaseArguments& of_case,
                                const IntervalRanges& ranges, int threads, const InterruptGuard& interrupt,
                                bool quiet) {
  const CaseArguments base = study_arguments(of_case, false);
  const std::filesystem::path tissues = tissue_folder();
  const auto drawn = [&](const std::vector<std::string>& settings) {
    std::vector<std::string> overrides = base.overrides;
    overrides.insert(overrides.end(), settings.begin(), settings.end());
    Case c = read_case(base.path, overrides, tissues);
    leave_out_watching(c);
    return c;
  };
  ProgressLine progress({1.0}, quiet);
  const ParallelRuns how{threads, &interrupt.stop(), [&progress](std::size_t done, std::size_t runs) {
                           progress.update(0, static_cast<double>(done) / static_cast<double>(runs));
                         }};
  const Case here = drawn({});
  IntervalAnswer answer = depth_interval(here, ranges.drawn, drawn, arguments.points, how);
  progress.clear();
  if (answer.interval) {
    answer.interval->ranges = ranges.file.filename().string();
    answer.interval->resolution = resolution_text(here, false);
  }
  return answer;
}

}  // namespace dryfront
