// The command find: settings that reach a depth or stay below striking.
#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <vector>

#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/study_case.hpp"
#include "files/case/case_error.hpp"
#include "files/caution.hpp"
#include "files/json.hpp"
#include "report/progress.hpp"
#include "report/wrapped_text.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/quantities.hpp"
#include "studies/parallel_runs.hpp"
#include "studies/search/finder.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

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

// What was found for one mode, or why nothing was.
struct Answer {
  std::string key;  // "setting_W", "rms_V", "activation_s"
  std::optional<Found> found;
  std::string reason;
};

Answer answer_for(const Case& c, const Grid& grid, std::size_t mode, const FindArguments& arguments,
                  const SearchWork& work) {
  Answer answer;
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

std::vector<Answer> answers_for(const Case& c, const FindArguments& arguments, const SearchWork& work,
                                ProgressLine& progress) {
  const Grid grid = case_grid(c);
  std::vector<Answer> answers(c.modes.size());
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

std::string answer_text(const Answer& answer, const std::string& mode, const FindArguments& arguments) {
  if (!answer.found) return fmt::format("{:<20} none: {}\n", mode, answer.reason);
  const Found& found = *answer.found;
  if (arguments.below_arcing) {
    return fmt::format("{:<20} {} = {:.4g}; strikes at {:.4g}; greatest peak {:.0f} V\n", mode, answer.key, found.value,
                       found.upper, found.reached);
  }
  return fmt::format("{:<20} {} = {:.4g} ({:.3f} mm); bracket {:.4g} to {:.4g}\n", mode, answer.key, found.value,
                     found.reached, found.lower, found.upper);
}

Json answer_json(const Answer& answer, const std::string& mode, const FindArguments& arguments) {
  Json object{{"name", mode}, {"key", answer.key}};
  if (!answer.found) {
    object["value"] = nullptr;
    object["not_found"] = answer.reason;
    return object;
  }
  object["value"] = answer.found->value;
  object["lower"] = answer.found->lower;
  object["upper"] = answer.found->upper;
  object[arguments.below_arcing ? "greatest_peak_V" : "depth_mm"] = answer.found->reached;
  object["runs"] = answer.found->runs;
  return object;
}

// When no mode has an answer there is no result to print.
void require_one(const std::vector<Answer>& answers, const Case& c, const FindArguments& arguments) {
  if (std::any_of(answers.begin(), answers.end(), [](const Answer& a) { return a.found.has_value(); })) return;
  std::string reasons;
  for (std::size_t k = 0; k < answers.size(); ++k) {
    reasons += fmt::format("\n  {}: {}", c.modes[k].name, answers[k].reason);
  }
  throw CaseError({.place = arguments.of_case.path,
                   .what = what_is_sought(c, arguments) + " cannot be found for any mode" + reasons,
                   .given = "",
                   .allowed = "",
                   .nearest = ""});
}

int find(const FindArguments& arguments) {
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_study_case(arguments.of_case, arguments.fine, console);
  SearchWork work;
  work.stop = &interrupt.stop();
  std::vector<Answer> answers;
  ProgressLine progress(std::vector<double>(c.modes.size(), 1.0), arguments.quiet);
  try {
    answers = answers_for(c, arguments, work, progress);
  } catch (const Stopped&) {
    progress.clear();
    return report_study_interrupt(console, interrupt.signal());
  }
  progress.clear();
  require_one(answers, c, arguments);

  if (arguments.json) {
    Json object{{"version", version},
                {"case", arguments.of_case.path},
                {"sought", what_is_sought(c, arguments)},
                {"resolution", resolution_text(c, arguments.fine)}};
    object["modes"] = Json::array();
    for (std::size_t k = 0; k < answers.size(); ++k) {
      object["modes"].push_back(answer_json(answers[k], c.modes[k].name, arguments));
    }
    object["caution"] = caution;
    print_result(json_text(object) + "\n");
    return exit_done;
  }
  std::string text = "Sought: " + what_is_sought(c, arguments) + "\n\n";
  for (std::size_t k = 0; k < answers.size(); ++k) text += answer_text(answers[k], c.modes[k].name, arguments);
  text += fmt::format("\nComputed at {}.\n", resolution_text(c, arguments.fine));
  print_result(text + wrapped(caution));
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
