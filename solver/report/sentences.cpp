#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/attribution.hpp"

namespace dryfront {

namespace {

constexpr double notable = 0.005;  // smaller differences of depth are printed as zero [mm]

constexpr double noted_share = 5e-4;  // smaller shares of the charge are printed as zero [-]

// The last row of the trace with the current on.
std::size_t last_on(const ModeRecord& record, const Mode& mode) {
  const std::vector<double>& time = record.trace.time;
  const auto after = std::upper_bound(time.begin(), time.end(), mode.activation * (1 - 1e-9));
  return std::min(static_cast<std::size_t>(after - time.begin()), time.size() - 1);
}

double greatest(const std::vector<double>& values) { return *std::max_element(values.begin(), values.end()); }

// Share of the charge that came through sparks while the current was on [-].
double struck_of_charge(const ModeRecord& record) {
  double struck = 0, all = 0;
  const Trace& trace = record.trace;
  for (std::size_t k = 1; k < trace.time.size(); ++k) {
    const double dt = trace.time[k] - trace.time[k - 1];
    struck += dt * 0.5 * (trace.current[k] * trace.arcing_share[k] + trace.current[k - 1] * trace.arcing_share[k - 1]);
    all += dt * 0.5 * (trace.current[k] + trace.current[k - 1]);
  }
  return all > 0 ? struck / all : 0;
}

struct Told {
  const Attribution& attribution;
  const Mode& a;
  const Mode& b;
  const ModeRecord& first;
  const ModeRecord& second;

  const AttributedQuantity& depth() const { return attribution.quantities[0]; }
  const CoalitionRuns& runs() const { return attribution.runs; }

  std::size_t player(Mechanism mechanism) const {
    const auto& players = runs().players;
    return static_cast<std::size_t>(std::find(players.begin(), players.end(), mechanism) - players.begin());
  }
  bool plays(Mechanism mechanism) const { return player(mechanism) < runs().players.size(); }

  // What the mechanism does to the difference of the depths.
  std::string outcome(Mechanism mechanism) const {
    const double share = depth().shares[player(mechanism)].share;
    const double lead = depth().difference();
    if (std::abs(share) < notable) return "this accounts for none of the difference in the " + depth().words;
    const std::string& helped = share > 0 ? first.name : second.name;
    if (std::abs(lead) < notable) {
      return fmt::format("this alone would put {} {:.2f} mm deeper, but the other mechanisms make up for it", helped,
                         std::abs(share));
    }
    const std::string& leader = lead > 0 ? first.name : second.name;
    if (helped != leader) {
      return fmt::format("this takes {:.2f} mm away from the lead of {}, and {:.2f} mm are left", std::abs(share),
                         leader, std::abs(lead));
    }
    if (std::abs(share) > std::abs(lead)) {
      return fmt::format("this puts {} {:.2f} mm ahead, of which the other mechanisms leave {:.2f} mm", leader,
                         std::abs(share), std::abs(lead));
    }
    return fmt::format("this accounts for {:.2f} mm of the {:.2f} mm by which {} reaches deeper", std::abs(share),
                       std::abs(lead), leader);
  }
};

std::string source_sentence(const Told& told) {
  return fmt::format(
      "The source: loads of {:.0f} to {:.0f} ohm took {:.1f} W on average from the source of {}, and loads of {:.0f} "
      "to {:.0f} "
      "ohm took {:.1f} W from that of {}; {}.",
      told.first.resistance_least, std::max(told.first.resistance_start, told.first.resistance_end),
      told.first.delivered / told.a.activation, told.first.name, told.second.resistance_least,
      std::max(told.second.resistance_start, told.second.resistance_end), told.second.delivered / told.b.activation,
      told.second.name, told.outcome(Mechanism::source));
}

std::string striking_sentence(const Told& told) {
  const Physics& physics = told.attribution.of.physics;
  const ContactKind contact = told.attribution.of.electrode.contact;
  if (contact == ContactKind::perfect || contact == ContactKind::conductance) {
    return fmt::format("Striking: a contact of this kind leaves no gap to strike across, and {}.",
                       told.outcome(Mechanism::arcing));
  }
  const double first = struck_of_charge(told.first), second = struck_of_charge(told.second);
  if (first < noted_share && second < noted_share) {
    return fmt::format(
        "Striking: the peaks of {:.0f} V and {:.0f} V leave too little across the contact for a spark, and {}.",
        greatest(told.first.trace.peak), greatest(told.second.trace.peak), told.outcome(Mechanism::arcing));
  }
  return fmt::format(
      "Striking: sparks need {:.0f} V peak; with {} the peak reaches {:.0f} V and {:.1f} % of the charge crosses in "
      "sparks, with "
      "{} it reaches {:.0f} V and {:.1f} % does; {}.",
      physics.strike, told.first.name, greatest(told.first.trace.peak), 100 * first, told.second.name,
      greatest(told.second.trace.peak), 100 * second, told.outcome(Mechanism::arcing));
}

std::string eschar_sentence(const Told& told) {
  return fmt::format(
      "Eschar: sparks have eschar-covered {:.0f} % of the face under {} and {:.0f} % under {} at the end; {}.",
      100 * told.first.trace.eschar_share.back(), told.first.name, 100 * told.second.trace.eschar_share.back(),
      told.second.name, told.outcome(Mechanism::eschar));
}

std::string breakdown_sentence(const Told& told) {
  return fmt::format(
      "Breakdown: at the same rms voltage the peak of {} is {:.1f} times that of {} (crest factors {:.2f} and {:.2f}), "
      "and where "
      "it passes {:g} MV/m dried tissue conducts again; {}.",
      told.second.name, told.second.crest_factor / told.first.crest_factor, told.first.name, told.second.crest_factor,
      told.first.crest_factor, told.attribution.of.physics.breakdown_field / 1e6, told.outcome(Mechanism::breakdown));
}

std::string moisture_sentence(const Told& told) {
  const CoalitionRuns& runs = told.runs();
  const Coalition without = runs.all() ^ (Coalition{1} << told.player(Mechanism::moisture));
  const auto wet = [](const ModeRecord& record, const Mode& mode) {
    return 100 * record.trace.wet_share[last_on(record, mode)];
  };
  return fmt::format(
      "Re-wetting: when the current ends {:.0f} % of the contact of {} and {:.0f} % of that of {} are wet, where they "
      "would be "
      "{:.0f} % and {:.0f} % if no water came up from below; {}.",
      wet(told.first, told.a), told.first.name, wet(told.second, told.b), told.second.name,
      wet(runs.first(without), told.a), wet(runs.second(without), told.b), told.outcome(Mechanism::moisture));
}

std::string activation_sentence(const Told& told) {
  return fmt::format("The activation: {} is on for {:.2f} s and {} for {:.2f} s; {}.", told.first.name,
                     told.a.activation, told.second.name, told.b.activation, told.outcome(Mechanism::activation));
}

std::string sentence(const Told& told, Mechanism mechanism) {
  switch (mechanism) {
    case Mechanism::source:
      return source_sentence(told);
    case Mechanism::arcing:
      return striking_sentence(told);
    case Mechanism::eschar:
      return eschar_sentence(told);
    case Mechanism::breakdown:
      return breakdown_sentence(told);
    case Mechanism::moisture:
      return moisture_sentence(told);
    case Mechanism::activation:
      return activation_sentence(told);
  }
  return "";
}

}  // namespace

std::vector<MechanismSentence> mechanism_sentences(const Attribution& attribution) {
  const CoalitionRuns& runs = attribution.runs;
  const Told told{attribution, attribution.of.modes[0], attribution.of.modes[1], runs.first(runs.all()),
                  runs.second(runs.all())};
  std::vector<MechanismSentence> sentences;
  for (const Mechanism mechanism : {Mechanism::source, Mechanism::arcing, Mechanism::eschar, Mechanism::breakdown,
                                    Mechanism::moisture, Mechanism::activation}) {
    if (told.plays(mechanism)) {
      sentences.push_back({mechanism, sentence(told, mechanism)});
    } else if (mechanism != Mechanism::activation) {
      std::string name(word(mechanism));
      name[0] = static_cast<char>(name[0] - 'a' + 'A');
      sentences.push_back({mechanism, name + " is switched off in this case and accounts for nothing."});
    }
  }
  return sentences;
}

}  // namespace dryfront
