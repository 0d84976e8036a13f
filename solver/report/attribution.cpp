#include "report/attribution.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/caution.hpp"
#include "files/json.hpp"
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

std::string modes_table(const Attribution& attribution) {
  const auto& names = attribution.of.modes;
  std::string text =
      wrapped(fmt::format("first: {} (crest factor {:.2f}), second: {} (crest factor {:.2f})", names[0].name,
                          crest_factor(names[0].waveform), names[1].name, crest_factor(names[1].waveform)),
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
  for (const Mechanism mechanism : players) text += cell(word(mechanism));
  text += cell("sum") + '\n';
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    text += heading(q);
    double sum = 0;
    for (const PlayerShare& share : q.shares) {
      text += cell(signed_number(share.share, q.decimals));
      sum += share.share;
    }
    text += cell(signed_number(sum, q.decimals)) + '\n';
  }
  return text;
}

std::string orders_table(const Attribution& attribution) {
  const auto& players = attribution.runs.players;
  const AttributedQuantity& q = attribution.quantities[0];
  std::string text = fmt::format("{:<{}}", q.words + ", " + q.unit, label_width);
  for (const std::string_view column : {"mean", "first", "last", "least", "greatest"}) text += cell(column);
  text += '\n';
  for (std::size_t k = 0; k < players.size(); ++k) {
    const PlayerShare& s = q.shares[k];
    text += fmt::format("  {:<{}}", word(players[k]), label_width - 2);
    for (const double value : {s.share, s.first, s.last, s.least, s.greatest})
      text += cell(signed_number(value, q.decimals));
    text += '\n';
  }
  return text;
}

std::string interactions_table(const Attribution& attribution) {
  const auto& players = attribution.runs.players;
  const AttributedQuantity& q = attribution.quantities[0];
  std::string text;
  for (std::size_t k = 0; k < players.size(); ++k) {
    for (std::size_t l = k + 1; l < players.size(); ++l) {
      const std::string number = signed_number(q.interaction[k][l], q.decimals);
      if (number.find_first_not_of("0.") == std::string::npos) continue;  // prints as zero
      text += fmt::format("  {:<{}}{}\n", fmt::format("{} with {}", word(players[k]), word(players[l])),
                          label_width - 2, cell(number));
    }
  }
  if (text.empty()) return "";
  return fmt::format("\nTogether beyond one by one ({}, {}; the other pairs less than half of the last digit)\n",
                     q.words, q.unit) +
         text;
}

Json quantity_json(const AttributedQuantity& q, const std::vector<Mechanism>& players) {
  Json object;
  object["name"] = q.name;
  object["words"] = q.words;
  object["unit"] = q.unit;
  if (!q.no_value.empty()) {
    object["no_value"] = q.no_value;
    return object;
  }
  object["first"] = number_or_null(q.first);
  object["second"] = number_or_null(q.second);
  object["difference"] = number_or_null(q.difference());
  object["left_over"] = number_or_null(q.left_over);
  object["mechanisms"] = Json::object();
  for (const Mechanism off : {Mechanism::source, Mechanism::arcing, Mechanism::eschar, Mechanism::breakdown,
                              Mechanism::moisture, Mechanism::activation}) {
    const auto found = std::find(players.begin(), players.end(), off);
    const PlayerShare share =
        found == players.end() ? PlayerShare{} : q.shares[static_cast<std::size_t>(found - players.begin())];
    object["mechanisms"][std::string(word(off))] = {{"plays", found != players.end()},
                                                    {"share", share.share},
                                                    {"first", share.first},
                                                    {"last", share.last},
                                                    {"least", share.least},
                                                    {"greatest", share.greatest}};
  }
  object["interactions"] = Json::array();
  for (std::size_t k = 0; k < players.size(); ++k) {
    for (std::size_t l = k + 1; l < players.size(); ++l) {
      object["interactions"].push_back(
          {{"between", {word(players[k]), word(players[l])}}, {"value", q.interaction[k][l]}});
    }
  }
  return object;
}

}  // namespace

std::string attribution_text(const Attribution& attribution, const AttributionFacts& facts) {
  const AttributedQuantity& depth = attribution.quantities[0];
  std::string text = attribution.of.title.empty() ? "" : attribution.of.title + '\n';
  text += wrapped(facts.basis, "");
  text += modes_table(attribution) + '\n' + shares_table(attribution);
  text += wrapped(
              "Each number is the mean, over all orders in which the mechanisms can be switched on, of what one adds "
              "to the difference "
              "first minus second (its Shapley value). What it adds as the first or last of all, and the least and "
              "greatest:",
              "") +
          '\n';
  text += orders_table(attribution) + interactions_table(attribution) + "\nIn words\n";
  for (const MechanismSentence& s : mechanism_sentences(attribution)) text += wrapped(s.text, "- ");
  text += '\n' + wrapped(fmt::format(
                             "{} runs of one mode on {} cells in {:.1f} s, {}. With everything off the modes differ by "
                             "{:.1e} mm in the {}. A share says what the model does, not what tissue does.",
                             attribution.runs.run.size(), facts.cells, facts.wall_s, facts.resolution,
                             std::abs(depth.left_over), depth.words),
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
    object["modes"].push_back({{"name", mode.name}, {"crest_factor", crest_factor(mode.waveform)}});
  }
  object["resolution"] = facts.resolution;
  object["cells"] = facts.cells;
  object["runs"] = attribution.runs.run.size();
  object["wall_s"] = facts.wall_s;
  object["quantities"] = Json::array();
  for (const AttributedQuantity& q : attribution.quantities) {
    object["quantities"].push_back(quantity_json(q, attribution.runs.players));
  }
  object["sentences"] = Json::object();
  for (const MechanismSentence& s : mechanism_sentences(attribution)) {
    object["sentences"][std::string(word(s.mechanism))] = s.text;
  }
  object["caution"] = caution;
  return object;
}

std::string attribution_csv(const Attribution& attribution) {
  const auto& players = attribution.runs.players;
  std::string text =
      "quantity,unit,mode_first,mode_second,value_first,value_second,mechanism,share,first,last,least,greatest";
  for (const Mechanism mechanism : players) text += fmt::format(",with_{}", word(mechanism));
  text += '\n';
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    for (std::size_t k = 0; k < players.size(); ++k) {
      const PlayerShare& s = q.shares[k];
      text += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}", q.name, q.unit, attribution.of.modes[0].name,
                          attribution.of.modes[1].name, q.first, q.second, word(players[k]), s.share, s.first, s.last,
                          s.least, s.greatest);
      for (std::size_t l = 0; l < players.size(); ++l) text += fmt::format(",{}", q.interaction[k][l]);
      text += '\n';
    }
  }
  return text;
}

}  // namespace dryfront
