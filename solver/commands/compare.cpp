// The command bases: two modes set equal in four senses, and the activation at which their order turns.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <memory>
#include <optional>
#include <vector>

#include "commands/interrupt.hpp"
#include "commands/why.hpp"
#include "files/run_file/summary_json.hpp"
#include "report/progress.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"
#include "studies/search/basis.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;
constexpr double alike = 1e-5;  // differences of depth below this decide nothing [m]
constexpr int activations = 12;

struct BasesArguments {
  CaseArguments of_case;
  std::string modes;
  double longest = 60;
  bool fine = false;
  bool json = false;
  int threads = 1;
  bool quiet = false;
};

// What came of one basis, or why nothing did.
struct Row {
  Basis basis = Basis::same_setting;
  std::optional<PairOnBasis> pair;
  std::string reason;
};

Json number_or_null(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json mode_json(const Mode& mode, const ModeRecord& record, std::size_t effect) {
  return {{"name", mode.name},
          {setting_key(mode.source), setting_of(mode.source)},
          {"activation_s", mode.activation},
          {"mean_power_W", record.delivered / mode.activation},
          {"delivered_J", record.delivered},
          {"dry_out_s", number_or_null(record.dry_out)},
          {"depth_mm", record.effects[effect].depth / mm}};
}

Json row_json(const Row& row, std::size_t effect) {
  Json object{{"basis", word_of(row.basis)}};
  if (!row.pair) {
    object["not_possible"] = row.reason;
    return object;
  }
  object["held"] = {{"unit", row.pair->unit}, {"first", row.pair->wanted}, {"second", row.pair->held}};
  object["changed"] = row.pair->changed;
  object["first"] = mode_json(row.pair->two.modes[0], row.pair->first, effect);
  object["second"] = mode_json(row.pair->two.modes[1], row.pair->second, effect);
  return object;
}

Json order_json(const OrderOverActivation& order) {
  Json object;
  object["activation_s"] = order.activation;
  for (const auto& [name, depths] :
       {std::pair{"first_depth_mm", &order.first_depth}, {"second_depth_mm", &order.second_depth}}) {
    object[name] = Json::array();
    for (const double depth : *depths) object[name].push_back(depth / mm);
  }
  object["turns"] = Json::array();
  for (const TurnOfOrder& turn : order.turns) {
    object["turns"].push_back({{"lower_s", turn.lower},
                               {"upper_s", turn.upper},
                               {"depth_mm", turn.depth / mm},
                               {"deeper_after", turn.first_leads_after ? "first" : "second"}});
  }
  return object;
}

std::string row_text(const Row& row, std::size_t effect, Basis chosen) {
  const std::string mark = row.basis == chosen ? "the case's own basis; " : "";
  if (!row.pair) return fmt::format("{:<26}not possible: {}{}\n", words(row.basis), mark, row.reason);
  const PairOnBasis& pair = *row.pair;
  const double first = pair.first.effects[effect].depth / mm, second = pair.second.effects[effect].depth / mm;
  const std::string ratio = second > 0 ? fmt::format("{:.2f}", first / second) : "";
  return fmt::format("{:<26}{:>7.2f} mm {:>7.2f} mm {:>+8.2f} mm {:>7}  {:.5g} and {:.5g} {}\n{:<26}{}\n",
                     words(row.basis), first, second, first - second, ratio, pair.wanted, pair.held, pair.unit, "",
                     mark + pair.changed);
}

std::string order_text(const OrderOverActivation& order, const Case& two, const std::string& effect) {
  std::string text = fmt::format("\nBoth with the same activation, {:.3g} to {:.3g} s, all else as in the case:\n",
                                 order.activation.front(), order.activation.back());
  for (std::size_t k = 0; k < order.activation.size(); ++k) {
    text += fmt::format("{:>12.2f} s {:>19.2f} mm {:>7.2f} mm {:>+8.2f} mm\n", order.activation[k],
                        order.first_depth[k] / mm, order.second_depth[k] / mm,
                        (order.first_depth[k] - order.second_depth[k]) / mm);
  }
  for (const TurnOfOrder& turn : order.turns) {
    text += fmt::format(
        "The order turns between {:.3f} and {:.3f} s, at {:.2f} mm of {}: with longer activations {} reaches deeper.\n",
        turn.lower, turn.upper, turn.depth / mm, effect, two.modes[turn.first_leads_after ? 0 : 1].name);
  }
  if (order.turns.empty()) text += "The order does not turn at any of these activations.\n";
  return text;
}

int bases(const BasesArguments& arguments) {
  const auto start = std::chrono::steady_clock::now();
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Case c = read_study_case(arguments.of_case, arguments.fine, console);
  const Case two = case_of_two(c, arguments.modes, arguments.of_case.path);
  require_difference(two, arguments.of_case.path);
  const std::size_t effect = principal_effect(two);
  const Grid grid = case_grid(two);

  std::size_t runs = 0;
  ProgressLine progress({5.0}, stderr_is_terminal() && !arguments.quiet);
  std::atomic<std::size_t> counted = 0;
  SearchWork work;
  work.stop = &interrupt.stop();
  work.on_run = [&counted] { ++counted; };
  std::vector<Row> rows;
  OrderOverActivation order;
  try {
    for (const Basis basis : all_bases) {
      Row row{basis, std::nullopt, ""};
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
  runs = counted;

  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  const std::string& name = two.effects[effect].name;
  if (arguments.json) {
    Json object{{"version", version}, {"case", arguments.of_case.path},
                {"effect", name},     {"resolution", resolution_text(two, arguments.fine)},
                {"runs", runs},       {"wall_s", wall.count()}};
    object["chosen"] = word_of(c.comparison.basis);
    object["bases"] = Json::array();
    for (const Row& row : rows) object["bases"].push_back(row_json(row, effect));
    object["order_over_activation"] = order_json(order);
    print_result(json_text(object) + "\n");
    return exit_done;
  }
  std::string text =
      fmt::format("first: {}, second: {}; depth of {}\n\n{:<26}{:>10} {:>10} {:>11} {:>7}  held\n", two.modes[0].name,
                  two.modes[1].name, name, "", "first", "second", "difference", "ratio");
  for (const Row& row : rows) text += row_text(row, effect, c.comparison.basis);
  text += order_text(order, two, name);
  text +=
      fmt::format("\n{} runs of one mode in {:.1f} s, {}.\n", runs, wall.count(), resolution_text(two, arguments.fine));
  print_result(text + "For teaching and research only; not for choosing settings on a patient.\n");
  return exit_done;
}

}  // namespace

void add_bases(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<BasesArguments>();
  CLI::App* command = app.add_subcommand(
      "bases",
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
  command->callback([arguments, &chosen] { chosen = [arguments] { return bases(*arguments); }; });
}

}  // namespace dryfront
