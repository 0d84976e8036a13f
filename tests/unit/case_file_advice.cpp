// What a message advises is accepted when it is done: words of the trade, units, former names, places, warnings.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <iomanip>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "case_file_sample.hpp"
#include "files/case/former_names.hpp"
#include "files/case/trade_words.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;

namespace {

// Every section by its head, so that a line can be put into any of them.
const std::string whole =
    "[specimen]\n"
    "tissue = \"gel\"\n"
    "[electrode]\n"
    "[[mode]]\n"
    "name = \"continuous\"\n"
    "[mode.waveform]\n"
    "kind = \"continuous\"\n"
    "[mode.source]\n"
    "kind = \"constant_power\"\n"
    "setting_W = 50\n"
    "peak_limit_V = 500\n"
    "[tissue.gel]\n"
    "like = \"liver_ex_vivo\"\n"
    "[[damage]]\n"
    "name = \"gel\"\n"
    "frequency_1_s = 1e40\n"
    "energy_J_mol = 2.6e5\n"
    "[[probe]]\n"
    "name = \"below\"\n"
    "r_mm = 0\n"
    "z_mm = 1\n"
    "[grid]\n"
    "[time]\n"
    "[output]\n"
    "[circuit]\n"
    "tissue_ohm = 200\n"
    "beside_pF = 50\n"
    "[pad]\n"
    "[[pad.layer]]\n"
    "conductivity_S_m = 0.5\n";

// The head of a section of the reference in `whole`.
std::string head_of(const std::string& section) {
  if (section == "tissue") return "[tissue.gel]\n";
  for (const std::string& head : {"[[" + section + "]]\n", "[" + section + "]\n"}) {
    if (whole.find(head) != std::string::npos) return head;
  }
  throw std::logic_error("no head for " + section);
}

// `whole` with `line` behind a head; a key that stands there already goes.
std::string with_line(const std::string& section, const std::string& line) {
  const std::string head = head_of(section);
  std::string text = whole;
  const std::string key = line.substr(0, line.find(" = ") + 3);
  const std::size_t begin = text.find(head) + head.size();
  const std::size_t end = std::min(text.find("\n[", begin - 1), text.size());
  const std::size_t there = text.find("\n" + key, begin - 1);
  if (there < end) text.erase(there + 1, text.find('\n', there + 1) - there);
  return text.insert(text.find(head) + head.size(), line + "\n");
}

std::string first_word(std::string_view words) { return std::string(words.substr(0, words.find(' '))); }

// The section of `head`, as a message names it, in the reference.
std::string section_with_heading(const std::string& heading) {
  for (const Section& section : sections()) {
    if (section.heading == heading) return section.path;
  }
  return "";
}

// A value a key can have in `whole`.
double fitting(const TradeWord& row) {
  const std::string key(row.key);
  if (key == "duty") return 0.6;
  if (key == "contact_fraction" || key == "water_fraction") return 0.8;
  if (key == "fine_mm") return 0.1;
  if (key == "frequency_1_s") return 1e40;
  if (key == "energy_J_mol") return 2.6e5;
  if (key == "hold_C") return 60;
  if (key == "boil_C") return 100;
  if (key == "start_C" || key == "surroundings_C") return 22;
  if (key == "depth_mm" || key == "conduction_W_mK") return 30;
  if (key == "repeat_kHz") return 24;
  return 5;
}

// What to write so that the conversion has that result.
double before_conversion(const TradeWord& row, double wanted) {
  if (row.convert == nullptr || row.convert(wanted) == wanted) return wanted;
  double low = 1e-6, high = 1e6;  // every conversion is monotonous
  const bool rises = row.convert(2.0) > row.convert(1.0);
  for (int k = 0; k < 200; ++k) {
    const double middle = std::sqrt(low * high);
    ((row.convert(middle) < wanted) == rises ? low : high) = middle;
  }
  return low;
}

}  // namespace

TEST_CASE("The case that the advice is put into is accepted itself") { CHECK(refusal(whole).empty()); }

TEST_CASE("A word of the trade is answered with its key and value, and the advice is accepted") {
  for (const TradeWord& row : trade_words()) {
    std::istringstream words{std::string(row.words)};
    std::string word;
    while (words >> word) {
      const std::string section(row.section);
      std::ostringstream line;
      line << std::setprecision(12) << word << " = " << before_conversion(row, fitting(row));
      const std::string message = refusal(with_line(section, line.str()));
      INFO(section << ": " << line.str() << "\n" << message);
      CHECK_THAT(message, Contains("unknown key") && Contains(": that is " + std::string(row.key)));
      std::smatch found;
      const std::regex advice(std::string(row.key) + " = ([-+.e0-9]+)\n");
      REQUIRE(std::regex_search(message, found, advice));
      CHECK(std::stod(found[1]) == Approx(fitting(row)).epsilon(1e-5));
      std::string accepted = with_line(section, std::string(row.key) + " = " + found[1].str());
      if (row.key == "duty") accepted = replaced(accepted, "kind = \"continuous\"", "kind = \"gated\"");
      CHECK(refusal(accepted).empty());
    }
  }
}

TEST_CASE("A word of the trade in another section is sent to its own, and accepted there") {
  for (const TradeWord& row : trade_words()) {
    const std::string word = first_word(row.words);
    const std::string message = refusal(with_line("output", word + " = 5"));
    INFO(word << "\n" << message);
    std::smatch found;
    REQUIRE(std::regex_search(message, found, std::regex("that is ([A-Za-z_0-9]+).*, and it belongs in ([^\n]*)\n")));
    const std::string section = section_with_heading(found[2]);
    REQUIRE(!section.empty());
    std::ostringstream line;
    line << found[1] << " = " << fitting({"", "", found[1].str()});
    std::string accepted = with_line(section, line.str());
    if (found[1] == "duty") accepted = replaced(accepted, "kind = \"continuous\"", "kind = \"gated\"");
    CHECK(refusal(accepted).empty());
  }
}

TEST_CASE("A word of the trade is known in any letters and with a unit; its number stays out where that is another") {
  const auto told = [](const std::string& section, const std::string& line) {
    return refusal(with_line(section, line));
  };
  CHECK_THAT(told("electrode", "diameter_mm = 12"), Contains("that is radius_mm, half of it: radius_mm = 6\n"));
  CHECK_THAT(told("electrode", "Diameter = 12"), Contains("radius_mm = 6\n"));
  CHECK_THAT(told("electrode", "diameter_cm = 1"), Contains("that is radius_mm, half of it\n"));
  CHECK_THAT(told("specimen", "diameter_mm = 80"), Contains("that is radius_mm, half of it: radius_mm = 40\n"));
  CHECK_THAT(told("mode.waveform", "frequency_Hz = 400000"), Contains("that is carrier_kHz\n"));
  CHECK_THAT(told("mode.waveform", "frequency = 400000"), Contains("that is carrier_kHz\n"));  // out of its range
  CHECK_THAT(told("mode.waveform", "\"duty cycle\" = 6"),
             Contains("that is duty, a share, 6 % is 0.06: duty = 0.06\n"));
  CHECK_THAT(told("mode.waveform", "crest_factor = 5"), Contains("duty = 0.08\n"));
  CHECK_THAT(told("mode.source", "temperature = 80"), Contains("that is hold_C, of kind temperature: hold_C = 80\n"));
  CHECK_THAT(told("specimen", "temperature = 37"), Contains("that is start_C: start_C = 37\n"));
  CHECK_THAT(told("mode", "power = \"60 W\""), Contains("that is setting_W, and it belongs in [[mode]] source"));
  // From the command line too.
  CHECK_THAT(refusal(whole, {"mode.*.source.power=60"}), Contains("that is setting_W: setting_W = 60\n"));
}

TEST_CASE("Every word leads to a key or choice that there is, and none is one itself") {
  for (const TradeWord& row : trade_words()) {
    const auto section = std::find_if(sections().begin(), sections().end(),
                                      [&](const Section& part) { return part.path == row.section; });
    REQUIRE(section != sections().end());
    const auto has = [&](const std::string& name) {
      return std::any_of(section->keys.begin(), section->keys.end(),
                         [&](const KeyInfo& key) { return key.name == name; });
    };
    CHECK(has(std::string(row.key)));
    std::istringstream words{std::string(row.words)};
    std::string word;
    while (words >> word) CHECK(!has(word));
  }
}

TEST_CASE("A word of the trade for a choice is answered with it, and accepted") {
  for (const TradeChoice& row : trade_choices()) {
    std::istringstream words{std::string(row.words)};
    std::string word;
    const std::string section(row.section), key(row.key);
    while (words >> word) {
      const std::string message = refusal(with_line(section, key + " = \"" + word + "\""));
      INFO(word << "\n" << message);
      CHECK_THAT(message, Contains("it is called " + std::string(row.choice) + " here") &&
                              Contains("did you mean '" + std::string(row.choice) + "'?"));
      // What the choice needs besides is asked for by its own message; the choice itself is one.
      CHECK_THAT(refusal(with_line(section, key + " = \"" + std::string(row.choice) + "\"")), !Contains("no choice"));
    }
  }
}

TEST_CASE("A key without its unit or with another is advised with the right one, for every key that has one") {
  for (const Section& section : sections()) {
    if (section.path == "specimen.layers" || section.path == "physics" || section.path == "effect") continue;
    for (const KeyInfo& key : section.keys) {
      if (key.unit.suffix.empty() || section.path == "comparison") continue;
      const std::string base = key.name.substr(0, key.name.size() - key.unit.suffix.size() - 1);
      const std::string message = refusal(with_line(section.path, base + "_kohm = 1"));
      INFO(section.path << " " << base << "\n" << message);
      std::smatch found;
      REQUIRE(std::regex_search(message, found, std::regex("did you mean '([A-Za-z_0-9]+)'")));
      const bool known = std::any_of(section.keys.begin(), section.keys.end(),
                                     [&](const KeyInfo& candidate) { return candidate.name == found[1]; });
      CHECK(known);
      CHECK_THAT(refusal(with_line(section.path, found[1].str() + " = 1")), !Contains("unknown key"));
    }
  }
}

TEST_CASE("A former name is advised with one that is accepted") {
  for (const FormerName& row : former_names()) {
    for (const Section& section : sections()) {
      for (const KeyInfo& key : section.keys) {
        if (key.name != row.now || section.path.empty()) continue;
        if (section.path == "physics" || section.path == "comparison") continue;
        const std::string message = refusal(with_line(section.path, std::string(row.was) + " = 1"));
        INFO(message);
        CHECK_THAT(message, Contains("did you mean '" + std::string(row.now) + "'?"));
        CHECK_THAT(refusal(with_line(section.path, std::string(row.now) + " = 1")), !Contains("unknown key"));
      }
    }
  }
}

TEST_CASE("A key in the wrong section is accepted in the one that is named") {
  const std::vector<std::pair<std::string, std::string>> keys = {
      {"radius_mm", "20"}, {"activation_s", "3"}, {"carrier_kHz", "300"},   {"current_limit_A", "2"},
      {"tolerance", "2"},  {"fine_mm", "0.1"},    {"density_kg_m3", "1000"}};
  for (const auto& [key, value] : keys) {
    const std::string line = key + " = " + value;
    const std::string message = refusal(with_line("output", line));
    INFO(message);
    std::smatch found;
    REQUIRE(std::regex_search(message, found, std::regex("it belongs in ([^\n]*)\n")));
    CHECK(refusal(with_line(section_with_heading(found[1]), line)).empty());
  }
}
