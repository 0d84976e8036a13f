#include "report/sentences.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace dryfront {

namespace {

constexpr double notable = 0.005;         // smaller differences of depth are printed as zero [mm]
constexpr double noted_share = 5e-4;      // smaller shares of the charge are printed as zero [-]
constexpr double noted_shortfall = 0.02;  // of the power against the setting [-]
constexpr double reached = 0.999;         // of a limit [-]

// Both modes with what came of them.
struct Side {
  const Mode& mode;
  const ModeRecord& record;
  std::string name() const { return '"' + label_of(mode) + '"'; }
};

struct Pair {
  explicit Pair(const Attribution& of)
      : attribution(of), a{of.of.modes[0], of.runs.first()}, b{of.of.modes[1], of.runs.second()} {}
  const Attribution& attribution;
  Side a, b;
  const AttributedQuantity& depth() const { return attribution.quantities[0]; }
  const Physics& physics() const { return attribution.of.physics; }
};

double greatest(const std::vector<double>& values) { return *std::max_element(values.begin(), values.end()); }

double mean_power(const Side& side) {
  return side.mode.activation > 0 ? side.record.delivered / side.mode.activation : 0;
}

// "source", "source and arcing", "source, arcing and breakdown".
std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t k = 0; k < words.size(); ++k) {
    if (k > 0) text += k + 1 < words.size() ? ", " : " and ";
    text += words[k];
  }
  return text;
}

std::string ohm(double resistance) { return fmt::format("{:.0f} ohm", resistance); }

std::string set_to(const Source& source) {
  if (source.kind == SourceKind::voltage) return fmt::format("{:g} V rms", source.rms);
  if (source.kind == SourceKind::temperature) {
    return fmt::format("hold {:g} C with at most {:g} W", source.hold, source.setting);
  }
  return fmt::format("{:g} W", source.setting);
}

// The loads while power flowed, "118 to 160 ohm".
std::string loads(const Side& side) {
  const Trace& trace = side.record.trace;
  double least = side.record.resistance_start, most = least;
  for (std::size_t k = 0; k < trace.time.size(); ++k) {
    if (!(trace.power[k] > 0)) continue;
    least = std::min(least, trace.resistance[k]);
    most = std::max(most, trace.resistance[k]);
  }
  return ohm(least) == ohm(most) ? ohm(most) : fmt::format("{:.0f} to {}", least, ohm(most));
}

// Why less was delivered than was set; empty where it was not.
std::string because(const Side& side) {
  const Source& source = side.mode.source;
  if (source.kind == SourceKind::voltage || mean_power(side) > (1 - noted_shortfall) * source.setting) return "";
  std::vector<std::string> reasons;
  if (source.kind == SourceKind::unregulated) {
    reasons.push_back(fmt::format("its source is rated for {:g} ohm", source.rated_load));
  }
  if (source.kind == SourceKind::temperature) {
    reasons.push_back(fmt::format("its source gives what holds {:g} C", source.hold));
  }
  if (!source.flat.empty()) {
    reasons.push_back(
        fmt::format("its source holds the power from {:g} to {:g} ohm alone", source.flat[0], source.flat[1]));
  }
  if (source.kind == SourceKind::table) reasons.emplace_back("its source gives what its table has for the load");
  if (source.peak_limit > 0 && greatest(side.record.trace.peak) > reached * source.peak_limit) {
    reasons.push_back(fmt::format("it came to its limit of {:g} V peak", source.peak_limit));
  }
  if (source.current_limit > 0 && greatest(side.record.trace.current) > reached * source.current_limit) {
    reasons.push_back(fmt::format("it came to its limit of {:g} A", source.current_limit));
  }
  return reasons.empty() ? "" : ", because " + listed(reasons);
}

std::string power_sentence(const Pair& pair) {
  const std::string set_a = set_to(pair.a.mode.source), set_b = set_to(pair.b.mode.source);
  const std::string set = set_a == set_b
                              ? fmt::format("Both were set to {}.", set_a)
                              : fmt::format("{} was set to {}, {} to {}.", pair.a.name(), set_a, pair.b.name(), set_b);
  const std::string because_a = because(pair.a);
  return fmt::format("{} {} delivered {:.1f} W on average into {}{}{} {} {:.1f} W into {}{}.", set, pair.a.name(),
                     mean_power(pair.a), loads(pair.a), because_a, because_a.empty() ? "," : ";", pair.b.name(),
                     mean_power(pair.b), loads(pair.b), because(pair.b));
}

// What the player does to the difference of the depths.
std::string outcome(const Pair& pair, Player player) {
  const double share = pair.depth().share_of(player).share;
  const double lead = pair.depth().difference();
  if (std::abs(share) < notable) return "this accounts for none of the difference in the " + pair.depth().words;
  const std::string helped = (share > 0 ? pair.a : pair.b).name();
  if (std::abs(lead) < notable) {
    return fmt::format("by itself this would put {} {:.2f} mm deeper, but the rest makes up for it", helped,
                       std::abs(share));
  }
  const std::string leader = (lead > 0 ? pair.a : pair.b).name();
  if (helped != leader) {
    return fmt::format("this takes {:.2f} mm away from the lead of {}, of which {:.2f} mm are left", std::abs(share),
                       leader, std::abs(lead));
  }
  if (std::abs(share) > std::abs(lead) + notable) {
    return fmt::format("this puts {} {:.2f} mm ahead, of which the rest leaves {:.2f} mm", leader, std::abs(share),
                       std::abs(lead));
  }
  return fmt::format("this accounts for {:.2f} mm of the {:.2f} mm by which {} reaches deeper", std::abs(share),
                     std::abs(lead), leader);
}

// What the source gives into the first mode's load at the start, its limits aside.
double power_at_start(const Pair& pair, const Side& side) {
  Source source = side.mode.source;
  source.peak_limit = source.current_limit = 0;
  const double load = pair.a.record.resistance_start;
  const double voltage = source_voltage(source, load, 1);
  return voltage * voltage / load;
}

std::string source_facts(const Pair& pair) {
  const auto holds = [](const Side& side) { return side.mode.source.kind == SourceKind::temperature; };
  if (holds(pair.a) || holds(pair.b)) {
    return fmt::format("the source of {} is set to {} and that of {} to {}", pair.a.name(), set_to(pair.a.mode.source),
                       pair.b.name(), set_to(pair.b.mode.source));
  }
  return fmt::format("into the {} at the start the source of {} gives {:.1f} W and that of {} {:.1f} W, limits aside",
                     ohm(pair.a.record.resistance_start), pair.a.name(), power_at_start(pair, pair.a), pair.b.name(),
                     power_at_start(pair, pair.b));
}

std::string limit_of(const Side& side) {
  const double limit = side.mode.source.peak_limit;
  if (!(limit > 0)) return side.name() + " has none";
  return fmt::format("{} may reach {:g} V peak, {:.0f} V rms at its crest factor of {:.2f}, and reaches {:.0f} V peak",
                     side.name(), limit, rms_limit(side.mode), side.record.crest_factor,
                     greatest(side.record.trace.peak));
}

// Share of the charge that came through sparks while the current was on [-].
double charge_in_sparks(const ModeRecord& record) {
  double sparks = 0, all = 0;
  const Trace& trace = record.trace;
  for (std::size_t k = 1; k < trace.time.size(); ++k) {
    const double dt = trace.time[k] - trace.time[k - 1];
    sparks += dt * 0.5 * (trace.current[k] * trace.arcing_share[k] + trace.current[k - 1] * trace.arcing_share[k - 1]);
    all += dt * 0.5 * (trace.current[k] + trace.current[k - 1]);
  }
  return all > 0 ? sparks / all : 0;
}

std::string arcing_facts(const Pair& pair) {
  const ContactKind contact = pair.attribution.of.electrode.contact;
  if (contact == ContactKind::perfect || contact == ContactKind::conductance) {
    return "a contact of this kind leaves no gap to strike across";
  }
  const double first = charge_in_sparks(pair.a.record), second = charge_in_sparks(pair.b.record);
  const double peak_a = greatest(pair.a.record.trace.peak), peak_b = greatest(pair.b.record.trace.peak);
  if (first < noted_share && second < noted_share) {
    return fmt::format("the peaks of {:.0f} V and {:.0f} V leave too little across the contact for a spark", peak_a,
                       peak_b);
  }
  return fmt::format(
      "sparks need {:.0f} V peak; {} reaches {:.0f} V and sends {:.1f} % of its charge through sparks, {} {:.0f} V and "
      "{:.1f} %, and they leave eschar on {:.0f} % and {:.0f} % of the face",
      pair.physics().strike, pair.a.name(), peak_a, 100 * first, pair.b.name(), peak_b, 100 * second,
      100 * pair.a.record.trace.eschar_share.back(), 100 * pair.b.record.trace.eschar_share.back());
}

std::string breakdown_facts(const Pair& pair) {
  const double ratio = pair.b.record.crest_factor / pair.a.record.crest_factor;
  return fmt::format(
      "at the same rms voltage the peak of {} is {:.1f} times that of {} (crest factors {:.2f} and {:.2f}), and where "
      "it passes {:g} MV/m dried tissue conducts again",
      pair.b.name(), ratio, pair.a.name(), pair.b.record.crest_factor, pair.a.record.crest_factor,
      pair.physics().breakdown_field / 1e6);
}

std::string facts(const Pair& pair, Player player) {
  switch (player) {
    case Player::source:
      return source_facts(pair);
    case Player::peak_limit:
      return limit_of(pair.a) + "; " + limit_of(pair.b);
    case Player::arcing:
      return arcing_facts(pair);
    case Player::breakdown:
      return breakdown_facts(pair);
    case Player::activation_time:
      return fmt::format("{} is on for {:g} s and watched for {:g} s after, {} for {:g} s and {:g} s", pair.a.name(),
                         pair.a.mode.activation, pair.a.mode.after, pair.b.name(), pair.b.mode.activation,
                         pair.b.mode.after);
  }
  return "";
}

// Whether nothing that the player adds, in any order, would be printed.
bool is_idle(const PlayerShare& share) { return std::max(std::abs(share.least), std::abs(share.greatest)) < notable; }

std::string idle_sentence(const Pair& pair) {
  const std::vector<Player>& differing = pair.attribution.runs.players;
  if (differing.empty()) {
    return "The two modes differ in nothing that the model sees: the difference and every share are zero.";
  }
  std::vector<std::string> idle, identical;
  for (const auto& player : enumerators(Player{})) {
    if (std::find(differing.begin(), differing.end(), player.value) == differing.end()) {
      identical.push_back(words(player.value));
    } else if (is_idle(pair.depth().share_of(player.value))) {
      idle.push_back(words(player.value));
    }
  }
  std::string text;
  if (!idle.empty()) text = fmt::format("The modes also differ in {}, which moves no depth.", listed(idle));
  if (!identical.empty()) {
    text += fmt::format("{}Nothing differs in {}: no share.", text.empty() ? "" : " ", listed(identical));
  }
  return text;
}

std::string conditions_sentence(const Pair& pair) {
  const AttributedQuantity& depth = pair.depth();
  std::vector<std::string> moved, idle, none;
  for (const ConditionValues& without : depth.conditions) {
    const std::string name(without.off->words);
    if (!std::isfinite(without.first) || !std::isfinite(without.second)) {
      none.push_back(name);
    } else if (std::abs(without.first - depth.first) < notable && std::abs(without.second - depth.second) < notable) {
      idle.push_back(name);
    } else {
      moved.push_back(fmt::format("{:.2f} and {:.2f} mm without {}", without.first, without.second, name));
    }
  }
  if (!idle.empty()) moved.push_back("the same without " + listed(idle));
  if (!none.empty()) moved.push_back("without a result where there is no " + listed(none));
  std::string text;
  for (const std::string& part : moved) text += (text.empty() ? "" : "; ") + part;
  if (text.empty()) return "";
  return fmt::format(
      "With one mechanism switched off for both, the {} of {} and {} would be, in place of {:.2f} and {:.2f} mm: {}.",
      depth.words, pair.a.name(), pair.b.name(), depth.first, depth.second, text);
}

}  // namespace

std::string player_sentence(const Attribution& attribution, Player player) {
  const Pair pair(attribution);
  std::string name = words(player);
  name[0] = static_cast<char>(name[0] - 'a' + 'A');
  return fmt::format("{}: {}; {}.", name, facts(pair, player), outcome(pair, player));
}

std::vector<std::string> sentences(const Attribution& attribution) {
  const Pair pair(attribution);
  std::vector<std::string> all{power_sentence(pair)};
  for (const Player player : attribution.runs.players) {
    if (!is_idle(pair.depth().share_of(player))) all.push_back(player_sentence(attribution, player));
  }
  for (const std::string& text : {idle_sentence(pair), conditions_sentence(pair)}) {
    if (!text.empty()) all.push_back(text);
  }
  return all;
}

}  // namespace dryfront
