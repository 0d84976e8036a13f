// The command compare: two modes set equal in four senses, and the activation at which their order turns.
#include <algorithm>
#include <atomic>
#include <chrono>
#include <memory>
#include <optional>
#include <vector>

#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/study_case.hpp"
#include "files/json.hpp"
#include "report/basis_comparison.hpp"
#include "report/progress.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"

namespace dryfront {
namespace {

constexpr double alike = 1e-5;  // differences of depth below this decide nothing [m]
constexpr int activations = 12;

struct CompareArguments {
  CaseArguments of_case;
  std::string modes;
  double longest = 60;
  bool fine = false;
  bool json = false;
  int threads = 1;
  bool quiet = false;
};

int compare(const CompareArguments& arguments) {
  const auto start = std::chrono::steady_clock::now();
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_study_case(arguments.of_case, arguments.fine, console);
  const Case two = case_of_two(c, arguments.modes, arguments.of_case.path);
  require_difference(two, arguments.of_case.path);
  const std::size_t effect = principal_effect(two);
  const Grid grid = case_grid(two);

  ProgressLine progress({5.0}, arguments.quiet);
  std::atomic<std::size_t> counted = 0;
  SearchWork work;
  work.stop = &interrupt.stop();
  work.on_run = [&counted] { ++counted; };
  std::vector<BasisRow> rows;
  OrderOverActivation order;
  try {
    for (const Basis basis : all_bases) {
      BasisRow row{basis, std::nullopt, ""};
      try {
        row.pair = on_basis(two, grid, basis, work);
      } catch (const NotFound& error) {
        row.reason = error.what();
      }
      rows.push_back(std::move(row));
      progress.update(0, static_cast<double>(rows.size()));
    }
    const double activation = std::max(two.modes[0].activation, two.modes[1].activation);
    order = order_over_activation(two, grid, effect, activation / 10, std::max(arguments.longest, activation),
                                  activations, alike, arguments.threads, work);
  } catch (const Stopped&) {
    progress.clear();
    return report_study_interrupt(console, interrupt.signal());
  }
  progress.clear();

  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  const BasisComparison result{.two = two,
                               .effect = effect,
                               .chosen = c.comparison.basis,
                               .rows = std::move(rows),
                               .order = std::move(order),
                               .runs = counted,
                               .wall_s = wall.count(),
                               .resolution = resolution_text(two, arguments.fine)};
  print_result(arguments.json ? json_text(basis_comparison_json(result, version, arguments.of_case.path)) + "\n"
                              : basis_comparison_text(result));
  return exit_done;
}

}  // namespace

void add_compare(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<CompareArguments>();
  CLI::App* command = app.add_subcommand(
      "compare",
      "two modes at the same setting, mean power, energy and time to dry out; the activation at which the order turns");
  add_case_arguments(*command, arguments->of_case);
  command->add_option("--modes", arguments->modes, "the two modes; lowest and highest crest factor when not given")
      ->type_name("A,B");
  constexpr double shortest_s = 0.1, longest_s = 3600;
  command
      ->add_option("--longest", arguments->longest, "the longest activation at which a turn of the order is looked for")
      ->type_name("S")
      ->check(CLI::Range(shortest_s, longest_s))
      ->capture_default_str();
  command->add_flag("--fine", arguments->fine, "on the case's own grid and steps, not at sweep resolution");
  command->add_flag("--json", arguments->json, "print one JSON object instead of the tables");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only, and the result");
  command->callback([arguments, &chosen] { chosen = [arguments] { return compare(*arguments); }; });
}

}  // namespace dryfront
