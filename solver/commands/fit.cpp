// The command fit: parameters from measured sections.
#include <fmt/format.h>

#include <memory>
#include <optional>

#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/interval_options.hpp"
#include "commands/study_case.hpp"
#include "files/case/case_file.hpp"
#include "files/file_place.hpp"
#include "files/json.hpp"
#include "files/share_folder.hpp"
#include "postproc/figures.hpp"
#include "report/fit.hpp"
#include "report/progress.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/quantities.hpp"

namespace dryfront {
namespace {

struct FitArguments {
  CaseArguments of_case;
  std::string sections;
  std::vector<std::string> parameters;
  std::string ranges, next;
  std::array<double, measured_columns.size()> spreads{};  // 0: none
  FitSettings settings;
  bool fine = false, json = false, quiet = false, replace = false, blank = false;
  std::string draws, out_case, figure, runs;
  int threads = 1;
};

UsualSpreads usual_spreads(const FitArguments& arguments) {
  UsualSpreads usual;
  for (std::size_t k = 0; k < usual.size(); ++k) {
    if (arguments.spreads[k] > 0) usual[k] = arguments.spreads[k];
  }
  return usual;
}

DrawnCase drawn_case(const FitArguments& arguments) {
  const CaseArguments base = study_arguments(arguments.of_case, arguments.fine);
  return [base, tissues = tissue_folder()](const std::vector<std::string>& settings) {
    std::vector<std::string> overrides = base.overrides;
    overrides.insert(overrides.end(), settings.begin(), settings.end());
    Case c = read_case(base.path, overrides, tissues);
    leave_out_watching(c);
    return c;
  };
}

// A result file: refused before the runs when it is there already, and written whole.
void reserve(std::optional<FilePlace>& place, const std::string& path, bool replace) {
  if (!path.empty()) place.emplace(path, replace);
}

void publish(std::optional<FilePlace>& place, const std::string& text) {
  if (!place) return;
  place->write(text);
  place->publish();
}

// The case with every identified number at the greatest density, the others as they were.
std::string fitted_case(const FitArguments& arguments, const FitReport& report) {
  std::vector<std::string> overrides = arguments.of_case.overrides;
  for (std::size_t k = 0; k < report.summary.parameters.size(); ++k) {
    const ParameterEstimate& estimate = report.summary.parameters[k];
    if (estimate.open) continue;
    for (const std::string& key : report.fit.problem.parameters[k].keys) {
      overrides.push_back(fmt::format("{}={}", key, estimate.mode));
    }
  }
  return fitted_case_head(report) + resolved_toml(read_case(arguments.of_case.path, overrides, tissue_folder()));
}

FitProblem problem_of(const FitArguments& arguments, const Case& c, const MeasuredSections& measured,
                      const DrawnCase& drawn) {
  IntervalArguments from;
  from.ranges = arguments.ranges;
  const IntervalRanges ranges = interval_ranges(from, arguments.of_case, c);
  MeasuredSections candidates;
  if (!arguments.next.empty()) {
    candidates =
        read_sections(arguments.next, c, principal_effect(c), usual_spreads(arguments), SectionsUse::candidates);
  }
  return fit_problem(c, chosen_parameters(ranges.drawn.axes, arguments.parameters), measured, candidates, drawn);
}

// Draws that do not agree are no answer.
void require_agreement(const PosteriorDraws& draws) {
  if (draws.agree()) return;
  throw NumericalFailure(
      fmt::format("the chains do not agree: R-hat {:.3f} (below {} is wanted), {:.0f} effective draws ({} are wanted); "
                  "there is no estimate. Fewer parameters, or measurements that tell them apart, may help",
                  draws.worst_r_hat(), greatest_r_hat, draws.least_effective(), least_effective_draws));
}

int fit_case(const FitArguments& arguments) {
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_judged_case(arguments.of_case, console).c;
  const MeasuredSections measured =
      read_sections(arguments.sections, c, principal_effect(c), usual_spreads(arguments), SectionsUse::measured);
  std::optional<KnownRuns> known;
  if (arguments.runs.empty()) {
    known.emplace();
  } else {
    known.emplace(arguments.runs, source_revision);
  }
  FitWork work{drawn_case(arguments), *known, {}, {}};
  FitProblem problem = problem_of(arguments, c, measured, work.drawn);
  if (!arguments.figure.empty()) require_picture_name(arguments.figure);
  std::optional<FilePlace> draws, out_case;
  reserve(draws, arguments.draws, arguments.replace);
  reserve(out_case, arguments.out_case, arguments.replace);
  ProgressLine progress({1.0}, arguments.quiet);
  work.how = {arguments.threads, &interrupt.stop(), {}};
  work.on_share = [&progress](double share) { progress.update(0, share); };
  const Fit found = fit(std::move(problem), arguments.settings, work);
  progress.clear();
  if (found.stopped) {
    if (known->keeps()) console.say("the runs up to here are in " + arguments.runs + "; the same command goes on");
    return report_study_interrupt(console, interrupt.signal());
  }
  require_agreement(found.draws);
  const FitSummary summary = summary_of(found);
  const FitReport report{c.title,
                         arguments.of_case.path,
                         arguments.sections,
                         resolution_text(work.drawn({}), arguments.fine),
                         measured.outline_points,
                         found,
                         summary};
  publish(draws, draws_csv(found));
  if (out_case) publish(out_case, fitted_case(arguments, report));
  const std::string json = json_text(fit_json(report, version));
  print_result(arguments.json ? json + "\n" : fit_text(report));
  if (arguments.figure.empty()) return exit_done;
  return make_answer_figure({share_folder() / "postproc", "fit_figure.py", {}, json, arguments.figure});
}

void add_measurements(CLI::App& command, FitArguments& arguments) {
  constexpr double least = 1e-6, most = 1000;
  const char* names[] = {"--depth-spread", "--half-width-spread", "--dry-out-spread"};
  const char* units[] = {"MM", "MM", "S"};
  for (std::size_t k = 0; k < arguments.spreads.size(); ++k) {
    command
        .add_option(names[k], arguments.spreads[k],
                    std::string("standard deviation of the ") + measured_columns[k].words + " in rows that state none")
        ->type_name(units[k])
        ->check(CLI::Range(least, most));
  }
  command.add_option("--next", arguments.next, "set-ups, as rows without measured numbers: which to measure next")
      ->type_name("CANDIDATES.csv");
}

void add_method(CLI::App& command, FitArguments& arguments) {
  constexpr int fewest = 20, most = 2000, greatest_seed = 1000000;
  command.add_option("--parameter", arguments.parameters, "a key to be fitted, within its range; may be repeated")
      ->type_name("KEY.PATH")
      ->allow_extra_args(false);
  command.add_option("--ranges", arguments.ranges, "the ranges, as the axes of a plan; those of the program otherwise")
      ->type_name("PLAN.toml");
  command
      .add_option("--discrepancy", arguments.settings.discrepancy,
                  "scale of what the model itself may be off by, as a share; 0: it is taken to be right")
      ->type_name("SHARE")
      ->check(CLI::Range(0.0, 1.0))
      ->capture_default_str();
  command.add_option("--points", arguments.settings.first_points, "points of the first design; 20 for each parameter")
      ->type_name("N")
      ->check(CLI::Range(fewest, most));
  command.add_option("--seed", arguments.settings.seed, "of design and chains")
      ->type_name("N")
      ->check(CLI::Range(1, greatest_seed))
      ->capture_default_str();
  command.add_flag("--fine", arguments.fine, "on the case's own grid and steps, not at sweep resolution");
  add_threads(command, arguments.threads);
}

}  // namespace

void add_fit(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<FitArguments>();
  CLI::App* command = app.add_subcommand("fit", "correct assumed numbers by measured sections, with their intervals");
  add_case_arguments(*command, arguments->of_case);
  command->get_option("CASE.toml")->required(false);
  command->add_option("SECTIONS.csv", arguments->sections, "the measured sections");
  add_measurements(*command, *arguments);
  add_method(*command, *arguments);
  command->add_option("--draws", arguments->draws, "write the draws of the posterior besides")->type_name("FILE.csv");
  command->add_option("--out-case", arguments->out_case, "write the case with the fitted numbers besides")
      ->type_name("FILE.toml");
  command->add_option("--figure", arguments->figure, "a picture to draw besides: .svg, .png or .pdf")
      ->type_name("FILE");
  command
      ->add_option("--runs", arguments->runs,
                   "keep every run in this file and take from it what is there: an interrupted fit goes on")
      ->type_name("FILE");
  command->add_flag("--replace", arguments->replace, "overwrite existing files");
  command->add_flag("--json", arguments->json, "print one JSON object instead of the tables");
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only, and the result");
  command->add_flag("--template", arguments->blank, "print a table of sections to fill in, and nothing else");
  command->callback([arguments, &chosen] {
    if (arguments->blank) {
      chosen = [] {
        print_result(sections_template());
        return exit_done;
      };
      return;
    }
    if (arguments->of_case.path.empty() || arguments->sections.empty()) {
      throw CLI::ValidationError("fit", "CASE.toml and SECTIONS.csv are needed, or --template");
    }
    if (arguments->parameters.empty()) {
      throw CLI::ValidationError("fit", "--parameter KEY.PATH is needed: which numbers the sections are to correct");
    }
    chosen = [arguments] { return fit_case(*arguments); };
  });
}

}  // namespace dryfront
