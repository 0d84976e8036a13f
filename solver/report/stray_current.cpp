#include "report/stray_current.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/caution.hpp"
#include "report/bench_caution.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr int most_turns = 24;

const char* words_of_tip(Tip tip) { return tip == Tip::touching ? "touching" : "held open"; }

bool can_be(const Circuit& circuit, Tip tip) { return tip == Tip::touching ? circuit.tissue > 0 : circuit.gap > 0; }

std::vector<CircuitAnswer> answers_with(const Case& c, const Circuit& circuit) {
  std::vector<CircuitAnswer> answers;
  for (const Mode& mode : c.modes) answers.push_back(solve_circuit(circuit, mode.waveform, mode.source));
  return answers;
}

// Without the lamp's search, so that a class of turns takes no longer than it has to.
StrayCurrent::OverTurns over_turns(const Circuit& circuit, const Mode& mode) {
  StrayCurrent::OverTurns curve{mode.name, circuit.tip, {}, {}, {}};
  Circuit turned = circuit;
  turned.beside = 0;
  turned.lamp_voltage = turned.lamp_current = 0;
  for (int turns = 0; turns <= most_turns; turns += 2) {
    turned.turns = turns;
    const CircuitAnswer answer = solve_circuit(turned, mode.waveform, mode.source);
    curve.turns.push_back(turns);
    curve.share.push_back(answer.stray_share);
    curve.stray.push_back(answer.stray);
  }
  return curve;
}

std::string lamp_text(const CircuitAnswer& answer) {
  if (answer.filament <= 0) return "";
  return fmt::format("; lamp {:.0f} K, {}", answer.filament, answer.filament >= glows_from ? "glows" : "dark");
}

std::string row_text(const std::string& label, Tip tip, const CircuitAnswer& answer) {
  return padded(cut_to(label, 30), 32, false) +
         fmt::format("{:<10} {:>8.1f} mA {:>8.2f} % {:>8.1f} V {:>8.2f} V {:>9.4f} W{}\n", words_of_tip(tip),
                     1e3 * answer.stray, 100 * answer.stray_share, answer.at_tip, answer.at_body, answer.beside_power,
                     lamp_text(answer));
}

Json complex_json(std::complex<double> value) { return Json::array({value.real(), value.imag()}); }

// Lines that carry less than a thousandth of the strongest in every quantity are left out.
Json harmonics_json(const CircuitAnswer& answer) {
  constexpr double least = 1e-3;
  double stray = 0, at_tip = 0;
  for (const CircuitHarmonic& line : answer.harmonics) {
    stray = std::max(stray, std::abs(line.stray));
    at_tip = std::max(at_tip, std::abs(line.at_tip));
  }
  Json list = Json::array();
  for (const CircuitHarmonic& line : answer.harmonics) {
    if (std::abs(line.stray) < least * stray && std::abs(line.at_tip) < least * at_tip) continue;
    list.push_back({{"kHz", line.frequency / 1e3},
                    {"stray_A", complex_json(line.stray)},
                    {"tip_node_V", complex_json(line.at_tip)},
                    {"body_V", complex_json(line.at_body)}});
  }
  return list;
}

Json modes_json(const Case& c, Tip tip, const std::vector<CircuitAnswer>& answers) {
  Json list = Json::array();
  for (std::size_t k = 0; k < answers.size(); ++k) {
    const CircuitAnswer& answer = answers[k];
    Json object{
        {"name", c.modes[k].name},  {"label", c.modes[k].label},         {"tip", std::string(word_of(tip))},
        {"stray_A", answer.stray},  {"stray_share", answer.stray_share}, {"tip_V", answer.at_tip},
        {"body_V", answer.at_body}, {"beside_W", answer.beside_power},   {"open_circuit_V", answer.open_circuit}};
    object["lamp_K"] = answer.filament > 0 ? Json(answer.filament) : Json(nullptr);
    object["lamp_glows"] = answer.filament > 0 ? Json(answer.filament >= glows_from) : Json(nullptr);
    object["left_out"] = answer.left_out;
    object["harmonics"] = harmonics_json(answer);
    list.push_back(object);
  }
  return list;
}

Tip other(Tip tip) { return tip == Tip::touching ? Tip::open : Tip::touching; }

}  // namespace

StrayCurrent stray_current(const Case& c) {
  const Circuit& circuit = *c.circuit;
  StrayCurrent answers;
  answers.modes = answers_with(c, circuit);
  Circuit turned = circuit;
  turned.tip = other(circuit.tip);
  if (can_be(circuit, turned.tip)) answers.other_tip = answers_with(c, turned);
  for (const Tip tip : {Tip::touching, Tip::open}) {
    if (!can_be(circuit, tip)) continue;
    turned.tip = tip;
    for (const Mode& mode : c.modes) answers.over_turns.push_back(over_turns(turned, mode));
  }
  return answers;
}

std::string stray_current_text(const Case& c, const StrayCurrent& answers) {
  std::string text = fmt::format("{}\n\n", c.title.empty() ? "The circuit of the stray current" : c.title);
  text += padded("", 32, false) + "tip             stray  of return      at tip    at body    beside it\n";
  for (std::size_t k = 0; k < c.modes.size(); ++k) {
    text += row_text(c.modes[k].label, c.circuit->tip, answers.modes[k]);
    if (!answers.other_tip.empty()) text += row_text(c.modes[k].label, other(c.circuit->tip), answers.other_tip[k]);
  }
  text += "\nShare that strays, of the current through the return [%], over turns of the lead\n";
  text += padded("turns", 42, false);
  for (const double turns : answers.over_turns.front().turns) {
    if (std::fmod(turns, 4) == 0) text += fmt::format("{:>8.0f}", turns);
  }
  text += "\n";
  for (const StrayCurrent::OverTurns& curve : answers.over_turns) {
    text += padded(cut_to(curve.mode, 30), 32, false) + fmt::format("{:<10}", words_of_tip(curve.tip));
    for (std::size_t k = 0; k < curve.turns.size(); ++k) {
      if (std::fmod(curve.turns[k], 4) == 0) text += fmt::format("{:>8.2f}", 100 * curve.share[k]);
    }
    text += "\n";
  }
  return text + "\n" + wrapped(bench_caution) + wrapped(caution);
}

Json stray_current_json(const Case& c, const StrayCurrent& answers, const std::string& version,
                        const std::string& case_path) {
  Json object{{"version", version}, {"case", case_path}, {"title", c.title}};
  object["modes"] = modes_json(c, c.circuit->tip, answers.modes);
  object["other_tip"] = modes_json(c, other(c.circuit->tip), answers.other_tip);
  object["over_turns"] = Json::array();
  for (const StrayCurrent::OverTurns& curve : answers.over_turns) {
    object["over_turns"].push_back({{"name", curve.mode},
                                    {"tip", std::string(word_of(curve.tip))},
                                    {"turns", curve.turns},
                                    {"stray_share", curve.share},
                                    {"stray_A", curve.stray}});
  }
  object["caution"] = std::string(bench_caution) + " " + caution;
  return object;
}

}  // namespace dryfront
