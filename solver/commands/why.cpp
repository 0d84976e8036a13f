#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <memory>
#include <optional>

#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/study_case.hpp"
#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/file_place.hpp"
#include "files/json.hpp"
#include "files/run_file/supplement.hpp"
#include "report/attribution.hpp"
#include "report/progress.hpp"
#include "report/range_warning.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/search/basis.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

struct WhyArguments {
  CaseArguments of_case;
  std::string modes;    // empty: lowest and highest crest factor
  double depth_mm = 0;  // 0: chosen by the program
  std::string basis;    // empty: that of the case
  bool fine = false;
  bool json = false;
  std::string csv;
  std::string into;  // a run file
  bool replace = false;
  int threads = 1;
  bool quiet = false;
};

// Changes the second mode so that the two stand on the wanted basis, that of the case when none is named; what was
// changed, in words.
std::string set_on_basis(Case& two, const std::string& name, const ParallelRuns& work) {
  const auto named =
      std::find_if(std::begin(all_bases), std::end(all_bases), [&](Basis f) { return word_of(f) == name; });
  const Basis basis = name.empty() ? two.comparison.basis : named != std::end(all_bases) ? *named : Basis::as_given;
  if (basis == Basis::as_given) return "The modes as the case has them.";
  SearchWork search;
  search.stop = work.stop;
  try {
    PairOnBasis pair = on_basis(two, case_grid(two), basis, search);
    two = std::move(pair.two);
    return fmt::format("On the basis of {}: {}.", words(basis), pair.changed);
  } catch (const NotFound& error) {
    throw CaseError({.place = name.empty() ? "comparison.basis" : "--basis",
                     .what = fmt::format("the modes cannot be set on {}: {}", words(basis), error.what()),
                     .given = std::string(word_of(basis)),
                     .allowed = "",
                     .nearest = ""});
  }
}

// A failure of the numbers with what may help against it.
AttributionRuns runs_or_advice(const Case& two, const ParallelRuns& work) {
  try {
    return attribution_runs(two, work);
  } catch (const NumericalFailure& error) {
    throw NumericalFailure(std::string(error.what()) +
                           "; another resolution may get past it (--fine, or --set grid.fine_mm=...)");
  }
}

int why(const WhyArguments& arguments) {
  const auto start = std::chrono::steady_clock::now();
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_study_case(arguments.of_case, arguments.fine, console);
  Case two = case_of_two(c, arguments.modes, arguments.of_case.path);
  std::string basis;
  std::optional<FilePlace> csv;
  if (!arguments.csv.empty()) csv.emplace(arguments.csv, arguments.replace);
  if (!arguments.into.empty()) {
    const Case whole = read_case(arguments.of_case.path, arguments.of_case.overrides, tissue_folder());
    require_run_of(arguments.into, resolved_toml(whole));
  }

  ProgressLine progress({1.0}, arguments.quiet);
  ParallelRuns work;
  work.threads = arguments.threads;
  work.stop = &interrupt.stop();
  work.on_progress = [&progress](std::size_t done, std::size_t runs) {
    progress.update(0, static_cast<double>(done) / static_cast<double>(runs));
  };
  try {
    basis = set_on_basis(two, arguments.basis, work);
  } catch (const Stopped&) {
    progress.clear();
    return report_study_interrupt(console, interrupt.signal());
  }
  AttributionRuns runs = runs_or_advice(two, work);
  progress.clear();
  if (interrupt.signal() != 0) {
    return report_study_interrupt(console, interrupt.signal());
  }

  for (const ModeRecord* record : {&runs.first(), &runs.second()}) warn_past_range(console, *record);
  const Attribution attribution = attribution_of(two, std::move(runs), arguments.depth_mm * mm);
  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  const AttributionFacts facts{version, arguments.of_case.path, resolution_text(two, arguments.fine),
                               basis,   case_grid(two).cells(), wall.count()};
  if (csv) {
    csv->write(attribution_csv(attribution));
    csv->publish();
    console.say(csv->path() + ": the shares of every quantity");
  }
  if (!arguments.into.empty()) {
    set_in_run_file(arguments.into, "why_json", json_text(attribution_json(attribution, facts)));
    console.say(arguments.into + ": the shares are in it, for figures and page");
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
  CLI::App* command = app.add_subcommand(
      "why", "how much of the difference between two modes each thing accounts for in which they differ");
  add_case_arguments(*command, arguments->of_case);
  command->add_option("--modes", arguments->modes, "the two modes; lowest and highest crest factor when not given")
      ->type_name("A,B");
  std::vector<std::string> bases{std::string(word_of(Basis::as_given))};
  for (const Basis basis : all_bases) bases.emplace_back(word_of(basis));
  command
      ->add_option("--basis", arguments->basis,
                   "set the second mode equal to the first in this sense before; comparison.basis when not given")
      ->type_name("BASIS")
      ->check(CLI::IsMember(bases));
  constexpr double deepest_mm = 1000;
  command
      ->add_option("--depth", arguments->depth_mm,
                   "the depth whose time is attributed; one that all reach when not given")
      ->type_name("MM")
      ->check(CLI::Range(1e-3, deepest_mm));
  command->add_flag("--fine", arguments->fine, "on the case's own grid and steps, not at sweep resolution");
  command->add_flag("--json", arguments->json, "print one JSON object instead of the tables");
  command->add_option("--csv", arguments->csv, "write the shares to this file as well")->type_name("FILE.csv");
  command->add_option("--into", arguments->into, "put the shares into this run file of the case, for figures and page")
      ->type_name("FILE.h5");
  command->add_flag("--replace", arguments->replace, "overwrite an existing file (--csv)");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only, and the result");
  command->callback([arguments, &chosen] { chosen = [arguments] { return why(*arguments); }; });
}

}  // namespace dryfront
