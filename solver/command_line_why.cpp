#include "command_line_why.hpp"

#include <fmt/format.h>

#include <chrono>
#include <memory>
#include <optional>

#include "command_line_interrupt.hpp"
#include "files/case_file.hpp"
#include "files/progress.hpp"
#include "files/run_file_place.hpp"
#include "files/summary_json.hpp"
#include "install_paths.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution_drives.hpp"
#include "studies/attribution_report.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

struct WhyArguments {
  CaseArguments of_case;
  std::string drives;   // empty: lowest and highest crest factor
  double depth_mm = 0;  // 0: chosen by the program
  bool fine = false;
  bool json = false;
  std::string csv;
  bool replace = false;
  int threads = 1;
  bool quiet = false;
};

// Of grid and step, what is finer in the case than sweeps are is coarsened to it, unless --set says otherwise.
CaseArguments at_sweep_resolution(const CaseArguments& asked, const Case& c) {
  constexpr double fine = 5e-5, growth = 1.12, tolerance = 4;
  std::vector<std::string> coarser;
  if (c.grading.fine < fine) coarser.push_back(fmt::format("grid.fine_mm={:.2f}", fine / mm));
  if (c.grading.growth < growth) coarser.push_back(fmt::format("grid.growth={:.2f}", growth));
  if (c.time.tolerance < tolerance) coarser.push_back(fmt::format("time.tolerance={:.1f}", tolerance));
  coarser.insert(coarser.end(), asked.overrides.begin(), asked.overrides.end());
  return {asked.path, coarser};
}

std::string resolution_text(const Case& c, bool fine) {
  return fmt::format("{} (grid.fine_mm = {:g}, grid.growth = {:g}, time.tolerance = {:g})",
                     fine ? "the case's own resolution" : "sweep resolution", c.grading.fine / mm, c.grading.growth,
                     c.time.tolerance);
}

int why(const WhyArguments& arguments) {
  const auto start = std::chrono::steady_clock::now();
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  CaseArguments of_case = arguments.of_case;
  if (!arguments.fine) {
    of_case =
        at_sweep_resolution(of_case, read_case(of_case.path, of_case.overrides, share_folder() / "cases" / "tissue"));
  }
  Case c = read_judged_case(of_case, console);
  c.output.frames = 1;
  c.probes.clear();
  const Case two = case_of_two(c, arguments.drives, arguments.of_case.path);
  std::optional<FilePlace> csv;
  if (!arguments.csv.empty()) csv.emplace(arguments.csv, arguments.replace);

  ProgressLine progress({1.0}, stderr_is_terminal() && !arguments.quiet);
  AttributionWork work;
  work.threads = arguments.threads;
  work.stop = &interrupt.stop();
  work.on_progress = [&progress](std::size_t done, std::size_t runs) {
    progress.update(0, static_cast<double>(done) / static_cast<double>(runs));
  };
  CoalitionRuns runs = coalition_runs(two, two.drives[0], two.drives[1], work);
  progress.clear();
  if (interrupt.signal() != 0) {
    console.warn("interrupted; nothing was attributed");
    constexpr int signal_base = 128;
    return signal_base + interrupt.signal();
  }

  const Attribution attribution = attribution_of(two, std::move(runs), arguments.depth_mm * mm);
  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  const AttributionFacts facts{version,
                               arguments.of_case.path,
                               resolution_text(two, arguments.fine),
                               "The drives as the case has them.",
                               case_grid(two).cells(),
                               wall.count()};
  if (csv) {
    csv->write(attribution_csv(attribution));
    csv->publish();
    console.say(csv->path() + ": the shares of every quantity");
  }
  if (arguments.json) {
    print_result(json_text(attribution_json(attribution, facts)) + "\n");
  } else {
    print_result(attribution_text(attribution, facts));
  }
  return exit_done;
}

}  // namespace

void add_why(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<WhyArguments>();
  CLI::App* command =
      app.add_subcommand("why", "how much of the difference between two drives each mechanism accounts for");
  add_case_arguments(*command, arguments->of_case);
  command->add_option("--drives", arguments->drives, "the two drives; lowest and highest crest factor when not given")
      ->type_name("A,B");
  constexpr double deepest_mm = 1000;
  command
      ->add_option("--depth", arguments->depth_mm,
                   "the depth whose time is attributed; one that all reach when not given")
      ->type_name("MM")
      ->check(CLI::Range(1e-3, deepest_mm));
  command->add_flag("--fine", arguments->fine, "on the case's own grid and steps, not at sweep resolution");
  command->add_flag("--json", arguments->json, "print one JSON object instead of the tables");
  command->add_option("--csv", arguments->csv, "write the shares to this file as well")->type_name("FILE.csv");
  command->add_flag("--replace", arguments->replace, "overwrite an existing file");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only, and the result");
  command->callback([arguments, &chosen] { chosen = [arguments] { return why(*arguments); }; });
}

}  // namespace dryfront
