#include "report/attribution.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/caution.hpp"
#include "files/json.hpp"
#include "report/sentences.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t label_width = 30;
constexpr std::size_t column_width = 12;

// Rounded first, so that nothing prints as -0.00.
std::string signed_number(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double rounded = std::round(value * scale) / scale;
  return rounded == 0 ? fmt::format("{:.{}f}", 0.0, decimals) : fmt::format("{:+.{}f}", rounded, decimals);
}

// A name that would break its column is cut.
std::string cell(std::string_view text) { return fmt::format("{:>{}.{}}", text, column_width, column_width - 1); }

std::string heading(const AttributedQuantity& quantity) {
  return fmt::format("{:<{}}", quantity.words + ", " + quantity.unit, label_width);
}

// Narrow enough for a column.
std::string column_name(Player player) { return player == Player::activation_time ? "time" : words(player); }

// Every pair of differing players once, with its interaction.
template <class Visit>
void for_each_pair(const std::vector<Player>& players, const AttributedQuantity& quantity, const Visit& visit) {
  for (std::size_t k = 0; k < players.size(); ++k) {
    for (std::size_t l = k + 1; l < players.size(); ++l) {
      const auto one = static_cast<std::size_t>(players[k]), other = static_cast<std::size_t>(players[l]);
      visit(players[k], players[l], quantity.interaction[one][other]);
    }
  }
}

std::string modes_table(const Attribution& attribution) {
  const auto& modes = attribution.of.modes;
  std::string text =
      wrapped(fmt::format("first: {} (crest factor {:.2f}), second: {} (crest factor {:.2f})", label_of(modes[0]),
                          crest_factor(modes[0].waveform), label_of(modes[1]), crest_factor(modes[1].waveform)),
              "");
  text += fmt::format("\n{:<{}}{}{}{}\n", "", label_width, cell("first"), cell("second"), cell("difference"));
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) {
      text += wrapped(heading(q) + " not attributed: " + q.no_value, "");
      continue;
    }
    text += heading(q) + cell(fmt::format("{:.{}f}", q.first, q.decimals)) +
            cell(fmt::format("{:.{}f}", q.second, q.decimals)) + cell(signed_number(q.difference(), q.decimals)) + '\n';
  }
  return text;
}

std::string shares_table(const Attribution& attribution) {
  const auto& players = attribution.runs.players;
  std::string text = fmt::format("{:<{}}", "Of the difference", label_width);
  for (const Player player : players) text += cell(column_name(player));
  text += cell("sum") + '\n';
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    text += heading(q);
    double sum = 0;
    for (const Player player : players) {
      text += cell(signed_number(q.share_of(player).share, q.decimals));
      sum += q.share_of(player).share;
    }
    text += cell(signed_number(sum, q.decimals)) + '\n';
  }
  return text;
}

std::string orders_table(const Attribution& attribution) {
  const AttributedQuantity& q = attribution.quantities[0];
  std::string text = heading(q);
  for (const std::string_view column : {"mean", "first", "last", "least", "greatest"}) text += cell(column);
  text += '\n';
  for (const Player player : attribution.runs.players) {
    const PlayerShare& s = q.share_of(player);
    text += fmt::format("  {:<{}}", words(player), label_width - 2);
    for (const double value : {s.share, s.first, s.last, s.least, s.greatest})
      text += cell(signed_number(value, q.decimals));
    text += '\n';
  }
  return text;
}

std::string interactions_table(const Attribution& attribution) {
  const AttributedQuantity& q = attribution.quantities[0];
  std::string text;
  for_each_pair(attribution.runs.players, q, [&](Player one, Player other, double value) {
    const std::string number = signed_number(value, q.decimals);
    if (number.find_first_not_of("0.") == std::string::npos) return;  // prints as zero
    text +=
        fmt::format("  {:<{}}{}\n", fmt::format("{} with {}", words(one), words(other)), label_width - 2, cell(number));
  });
  if (text.empty()) return "";
  return fmt::format("\nTogether beyond one by one ({}, {}; the other pairs less than half of the last digit)\n",
                     q.words, q.unit) +
         text;
}

std::string conditions_table(const Attribution& attribution) {
  const AttributedQuantity& q = attribution.quantities[0];
  if (q.conditions.empty()) return "";
  const auto row = [&](const std::string& name, double first, double second) {
    const auto number = [&](double value) {
      return cell(std::isfinite(value) ? fmt::format("{:.{}f}", value, q.decimals) : "no result");
    };
    return fmt::format("  {:<{}}", name, label_width - 2) + number(first) + number(second) +
           cell(std::isfinite(first - second) ? signed_number(first - second, q.decimals) : "") + '\n';
  };
  std::string text = '\n' + heading(q) + cell("first") + cell("second") + cell("difference") + '\n';
  text += row("as the case has it", q.first, q.second);
  for (const ConditionValues& c : q.conditions) {
    text += row(fmt::format("no {}", c.off->words), c.first, c.second);
  }
  return text;
}

Json condition_json(const ConditionValues& values, const std::string& failed) {
  Json object{{"first", number_or_null(values.first)}, {"second", number_or_null(values.second)}};
  if (!failed.empty()) object["failed"] = failed;
  return object;
}

bool differ(const Attribution& attribution, Player player) {
  const auto& players = attribution.runs.players;
  return std::find(players.begin(), players.end(), player) != players.end();
}

Json quantity_json(const AttributedQuantity& q, const Attribution& attribution) {
  Json object{{"name", q.name}, {"words", q.words}, {"unit", q.unit}};
  if (!q.no_value.empty()) {
    object["no_value"] = q.no_value;
    return object;
  }
  object["first"] = number_or_null(q.first);
  object["second"] = number_or_null(q.second);
  object["difference"] = number_or_null(q.difference());
  object["players"] = Json::object();
  for (const auto& player : enumerators(Player{})) {
    const PlayerShare& share = q.share_of(player.value);
    object["players"][std::string(player.word)] = {{"differs", differ(attribution, player.value)},
                                                   {"share", share.share},
                                                   {"first", share.first},
                                                   {"last", share.last},
                                                   {"least", share.least},
                                                   {"greatest", share.greatest}};
  }
  object["interactions"] = Json::array();
  for_each_pair(attribution.runs.players, q, [&](Player one, Player other, double value) {
    object["interactions"].push_back({{"between", {word_of(one), word_of(other)}}, {"value", value}});
  });
  object["conditions"] = Json::object();
  const AttributionRuns& runs = attribution.runs;
  for (std::size_t k = 0; k < q.conditions.size(); ++k) {
    const std::string& first = runs.failed[runs.condition[k].first];
    object["conditions"][std::string(q.conditions[k].off->key)] =
        condition_json(q.conditions[k], first.empty() ? runs.failed[runs.condition[k].second] : first);
  }
  return object;
}

// What the keys under "players" and "conditions" mean, with a sentence for each player in which the modes differ.
void add_names(const Attribution& attribution, Json& object) {
  object["players"] = Json::array();
  for (const auto& player : enumerators(Player{})) {
    const bool differs = differ(attribution, player.value);
    object["players"].push_back(
        {{"key", player.word},
         {"words", words(player.value)},
         {"differs", differs},
         {"sentence", differs ? Json(player_sentence(attribution, player.value)) : Json(nullptr)}});
  }
  object["conditions"] = Json::array();
  for (const ConditionRuns& condition : attribution.runs.condition) {
    object["conditions"].push_back({{"key", condition.off->key}, {"words", condition.off->words}});
  }
}

}  // namespace

std::string attribution_text(const Attribution& attribution, const AttributionFacts& facts) {
  std::string text = attribution.of.title.empty() ? "" : attribution.of.title + '\n';
  text += wrapped(facts.basis, "");
  text += modes_table(attribution) + '\n';
  if (!attribution.runs.players.empty()) {
    text += shares_table(attribution);
    text += wrapped(
                "Each number is the mean, over all orders in which the first mode's things can be exchanged for the "
                "second's, of what one exchange adds to the difference first minus second (its Shapley value). What it "
                "adds as the first or last of all, and the least and greatest:",
                "") +
            '\n';
    text += orders_table(attribution) + interactions_table(attribution);
  }
  text += conditions_table(attribution) + "\nIn words\n";
  for (const std::string& sentence : sentences(attribution)) text += wrapped(sentence, "- ");
  text +=
      '\n' + wrapped(fmt::format("{} runs of one mode on {} cells in {:.1f} s, {}. A share says what the model does, "
                                 "not what tissue does.",
                                 attribution.runs.run.size(), facts.cells, facts.wall_s, facts.resolution),
                     "");
  return text + wrapped(caution);
}

nlohmann::ordered_json attribution_json(const Attribution& attribution, const AttributionFacts& facts) {
  Json object;
  object["computed"] = true;
  object["version"] = facts.version;
  object["case"] = facts.case_path;
  object["title"] = attribution.of.title;
  object["basis"] = facts.basis;
  object["modes"] = Json::array();
  for (const Mode& mode : attribution.of.modes) {
    object["modes"].push_back(
        {{"name", mode.name}, {"label", label_of(mode)}, {"crest_factor", crest_factor(mode.waveform)}});
  }
  object["resolution"] = facts.resolution;
  object["cells"] = facts.cells;
  object["runs"] = attribution.runs.run.size();
  object["wall_s"] = facts.wall_s;
  add_names(attribution, object);
  object["quantities"] = Json::array();
  for (const AttributedQuantity& q : attribution.quantities) {
    object["quantities"].push_back(quantity_json(q, attribution));
  }
  object["sentences"] = sentences(attribution);
  object["caution"] = caution;
  return object;
}

std::string attribution_csv(const Attribution& attribution) {
  std::string text =
      "quantity,unit,mode_first,mode_second,value_first,value_second,player,share,first,last,least,greatest";
  for (const auto& player : enumerators(Player{})) text += fmt::format(",with_{}", player.word);
  text += '\n';
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    for (const auto& player : enumerators(Player{})) {
      const PlayerShare& s = q.share_of(player.value);
      text += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}", q.name, q.unit, attribution.of.modes[0].name,
                          attribution.of.modes[1].name, q.first, q.second, player.word, s.share, s.first, s.last,
                          s.least, s.greatest);
      for (const double value : q.interaction[static_cast<std::size_t>(player.value)])
        text += fmt::format(",{}", value);
      text += '\n';
    }
  }
  return text;
}

}  // namespace dryfront
