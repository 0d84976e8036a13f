#include "report/basis_comparison.hpp"

#include <fmt/format.h>

#include "files/caution.hpp"
#include "files/json.hpp"
#include "files/model_range.hpp"
#include "physics/tissue.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;

Json mode_json(const Mode& mode, const ModeRecord& record, std::size_t effect) {
  return {{"name", mode.name},
          {setting_key(mode.source), setting_of(mode.source)},
          {"activation_s", mode.activation},
          {"mean_power_W", record.delivered / mode.activation},
          {"delivered_J", record.delivered},
          {"dry_out_s", number_or_null(record.dry_out)},
          {"depth_mm", record.effects[effect].depth / mm},
          {"past_range", record.effects[effect].past_range}};
}

Json row_json(const BasisRow& row, std::size_t effect) {
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

std::string row_text(const BasisRow& row, std::size_t effect, Basis chosen) {
  const std::string mark = row.basis == chosen ? "the case's own basis; " : "";
  if (!row.pair) return fmt::format("{:<26}not possible: {}{}\n", words(row.basis), mark, row.reason);
  const PairOnBasis& pair = *row.pair;
  const EffectRecord &of_first = pair.first.effects[effect], &of_second = pair.second.effects[effect];
  const double first = of_first.depth / mm, second = of_second.depth / mm;
  const auto range_mark = [](const EffectRecord& of) { return of.past_range ? past_range_mark : " "; };
  const std::string ratio = second > 0 ? fmt::format("{:.2f}", first / second) : "";
  return fmt::format("{:<26}{:>7.2f} mm{}{:>7.2f} mm{}{:>+8.2f} mm {:>7}  {:.5g} and {:.5g} {}\n{:<26}{}\n",
                     words(row.basis), first, range_mark(of_first), second, range_mark(of_second), first - second,
                     ratio, pair.wanted, pair.held, pair.unit, "", mark + pair.changed);
}

// What the marks mean, where there are any.
std::string range_footnote(const BasisComparison& comparison) {
  for (const BasisRow& row : comparison.rows) {
    if (!row.pair) continue;
    for (const ModeRecord* record : {&row.pair->first, &row.pair->second}) {
      if (record->effects[comparison.effect].past_range) {
        return fmt::format("{} rests on temperatures past {:g} C, up to which the model knows tissue\n",
                           past_range_mark, hottest_known);
      }
    }
  }
  return "";
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

}  // namespace

std::string basis_comparison_text(const BasisComparison& comparison) {
  const Case& two = comparison.two;
  const std::string& effect = two.effects[comparison.effect].name;
  std::string text =
      fmt::format("first: {}, second: {}; depth of {}\n\n{:<26}{:>10} {:>10} {:>11} {:>7}  held\n", two.modes[0].name,
                  two.modes[1].name, effect, "", "first", "second", "difference", "ratio");
  for (const BasisRow& row : comparison.rows) text += row_text(row, comparison.effect, comparison.chosen);
  text += range_footnote(comparison);
  text += order_text(comparison.order, two, effect);
  text += fmt::format("\n{} runs of one mode in {:.1f} s, {}.\n", comparison.runs, comparison.wall_s,
                      comparison.resolution);
  return text + wrapped(caution);
}

Json basis_comparison_json(const BasisComparison& comparison, const std::string& version,
                           const std::string& case_path) {
  Json object{{"version", version},
              {"case", case_path},
              {"effect", comparison.two.effects[comparison.effect].name},
              {"resolution", comparison.resolution},
              {"runs", comparison.runs},
              {"wall_s", comparison.wall_s}};
  object["chosen"] = word_of(comparison.chosen);
  object["bases"] = Json::array();
  for (const BasisRow& row : comparison.rows) object["bases"].push_back(row_json(row, comparison.effect));
  object["order_over_activation"] = order_json(comparison.order);
  object["caution"] = caution;
  return object;
}

}  // namespace dryfront
