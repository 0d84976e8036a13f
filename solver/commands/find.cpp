// The command find: settings that reach a depth or stay below striking.
#include <fmt/format.h>

#include <memory>
#include <vector>

#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/study_case.hpp"
#include "files/case/case_error.hpp"
#include "files/json.hpp"
#include "report/found_settings.hpp"
#include "report/progress.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/quantities.hpp"
#include "studies/parallel_runs.hpp"
#include "studies/search/finder.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;
constexpr double usual_progress = 0.85;  // share of a search that is left after one more run, for the progress line

struct FindArguments {
  CaseArguments of_case;
  double depth_mm = 0;  // 0: below striking
  std::string by = "setting";
  bool below_arcing = false;
  double longest = 120;
  bool fine = false;
  bool json = false;
  int threads = 1;
  bool quiet = false;
};

FoundForMode answer_for(const Case& c, const Grid& grid, std::size_t mode, const FindArguments& arguments,
                        const SearchWork& work) {
  FoundForMode answer;
  const bool by_activation = !arguments.below_arcing && arguments.by == "activation";
  answer.key = by_activation ? "activation_s" : setting_key(c.modes[mode].source);
  try {
    const std::size_t effect = principal_effect(c);
    answer.found = arguments.below_arcing ? find_setting_below_arcing(c, grid, mode, work)
                   : by_activation
                       ? find_activation(c, grid, mode, effect, arguments.depth_mm * mm, arguments.longest, work)
                       : find_setting(c, grid, mode, effect, arguments.depth_mm * mm, work);
  } catch (const NotFound& error) {
    answer.reason = error.what();
  }
  return answer;
}

std::vector<FoundForMode> answers_for(const Case& c, const FindArguments& arguments, const SearchWork& work,
                                      ProgressLine& progress) {
  const Grid grid = case_grid(c);
  std::vector<FoundForMode> answers(c.modes.size());
  // How many runs a search takes is known only afterwards: each one takes the piece a share nearer to its end.
  run_in_parallel(answers.size(), {arguments.threads, work.stop}, [&](std::size_t k) {
    SearchWork own = work;
    double left = 1;
    own.on_run = [&progress, &left, k] { progress.update(k, 1 - (left *= usual_progress)); };
    answers[k] = answer_for(c, grid, k, arguments, own);
    progress.update(k, 1);
  });
  if (*work.stop) throw Stopped();
  return answers;
}

std::string what_is_sought(const Case& c, const FindArguments& arguments) {
  if (arguments.below_arcing) return "the largest setting below striking for the whole activation";
  return fmt::format("the smallest {} that reaches {:g} mm of {}", arguments.by, arguments.depth_mm,
                     c.effects[principal_effect(c)].name);
}

int find(const FindArguments& arguments) {
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_study_case(arguments.of_case, arguments.fine, console);
  SearchWork work;
  work.stop = &interrupt.stop();
  FoundSettings settings{
      c, arguments.below_arcing, what_is_sought(c, arguments), {}, resolution_text(c, arguments.fine)};
  ProgressLine progress(std::vector<double>(c.modes.size(), 1.0), arguments.quiet);
  try {
    settings.modes = answers_for(c, arguments, work, progress);
  } catch (const Stopped&) {
    progress.clear();
    return report_study_interrupt(console, interrupt.signal());
  }
  progress.clear();
  // When no mode has an answer there is no result to print.
  if (const std::string reasons = nothing_found_text(settings); !reasons.empty()) {
    throw CaseError({.place = arguments.of_case.path,
                     .what = settings.sought + " cannot be found for any mode" + reasons,
                     .given = "",
                     .allowed = "",
                     .nearest = ""});
  }
  print_result(arguments.json ? json_text(found_settings_json(settings, version, arguments.of_case.path)) + "\n"
                              : found_settings_text(settings));
  return exit_done;
}

}  // namespace

void add_find(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<FindArguments>();
  CLI::App* command = app.add_subcommand(
      "find", "the setting or the activation that reaches a depth, or the largest setting below striking");
  add_case_arguments(*command, arguments->of_case);
  constexpr double deepest_mm = 1000, shortest_s = 1, longest_s = 3600;
  CLI::Option* depth = command->add_option("--depth", arguments->depth_mm, "the wanted depth of coagulation")
                           ->type_name("MM")
                           ->check(CLI::Range(1e-3, deepest_mm));
  command->add_option("--by", arguments->by, "what is changed to reach it")
      ->check(CLI::IsMember({"setting", "activation"}))
      ->capture_default_str();
  command->add_option("--longest", arguments->longest, "the longest activation that is tried")
      ->type_name("S")
      ->check(CLI::Range(shortest_s, longest_s))
      ->capture_default_str();
  CLI::Option* striking =
      command->add_flag("--below-arcing", arguments->below_arcing, "the largest setting that does not strike");
  striking->excludes(depth);
  command->add_flag("--fine", arguments->fine, "on the case's own grid and steps, not at sweep resolution");
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only, and the result");
  command->callback([arguments, depth, &chosen] {
    if (depth->count() == 0 && !arguments->below_arcing) {
      throw CLI::ValidationError("find", "--depth MM or --below-arcing is needed");
    }
    chosen = [arguments] { return find(*arguments); };
  });
}

}  // namespace dryfront
