// Warnings about what is legal and hardly meant: each appears with its place, and goes when its advice is done.
#include <catch2/catch.hpp>
#include <filesystem>
#include <limits>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "case_file_sample.hpp"
#include "files/case/case_warning.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const std::string usual =
    "[specimen]\n"
    "tissue = \"liver_ex_vivo\"\n"
    "start_C = 22\n"
    "[[mode]]\n"
    "name = \"first\"\n"
    "[mode.waveform]\n"
    "kind = \"gated\"\n"
    "carrier_kHz = 400\n"
    "duty = 0.06\n"
    "repeat_kHz = 24\n"
    "[mode.source]\n"
    "kind = \"unregulated\"\n"
    "setting_W = 60\n"
    "rated_load_ohm = 500\n"
    "peak_limit_V = 3000\n";

std::vector<std::string> warned(const std::string& text, const std::vector<std::string>& overrides = {}) {
  std::vector<std::string> told;
  const JudgedCase judged = parse_and_judge(text, "case.toml", overrides, tissue_library(), {});
  for (const CaseWarning& warning : judged.warnings) told.push_back(warning_text(warning));
  return told;
}

// The one warning of the case.
std::string only_warning(const std::string& text) {
  const std::vector<std::string> told = warned(text);
  return told.size() == 1 ? told.front() : std::to_string(told.size()) + " warnings";
}

// The case with the "key = value" of its warning in place of the line of that key; the warning is gone then.
void check_advice(const std::string& text, const std::string& key) {
  const std::string warning = only_warning(text);
  INFO(warning);
  const std::string advice = warning.substr(warning.rfind("; ") + 2);
  std::smatch found;
  REQUIRE(std::regex_search(advice, found, std::regex(key + " = [^ ;]+")));
  const std::string done = std::regex_replace(text, std::regex("(^|\n)" + key + " = [^\n]*"), "$1" + found[0].str());
  INFO(done);
  CHECK(warned(done).empty());
}

}  // namespace

TEST_CASE("The usual case is not warned of") { CHECK(warned(usual).empty()); }

TEST_CASE("A start temperature that looks like Fahrenheit") {
  const std::string odd = replaced(usual, "start_C = 22", "start_C = 98.6");
  CHECK_THAT(only_warning(odd),
             StartsWith("case.toml:3:11: specimen.start_C = 98.6: ") && Contains("98.6 F are start_C = 37"));
  check_advice(odd, "start_C");
  CHECK_THAT(only_warning(replaced(usual, "start_C = 22", "surroundings_C = 72")), Contains("surroundings_C = 22"));
  CHECK(warned(replaced(usual, "start_C = 22", "start_C = 60")).empty());
}

TEST_CASE("A burst of half a cycle or less") {
  const std::string odd = replaced(usual, "duty = 0.06", "duty = 0.03");
  CHECK_THAT(only_warning(replaced(odd, "peak_limit_V = 3000", "peak_limit_V = 9000")),
             StartsWith("case.toml:9:8: mode.0.waveform.duty = 0.03: ") && Contains("holds 0.5 cycles"));
  check_advice(odd, "duty");
  check_advice(replaced(usual, "repeat_kHz = 24", "repeat_kHz = 900"), "repeat_kHz");
  CHECK(warned(replaced(usual, "duty = 0.06", "duty = 0.031")).empty());
  const std::string damped = replaced(replaced(usual, "kind = \"gated\"", "kind = \"damped\""), "duty = 0.06\n", "");
  CHECK(warned(damped).empty());
  const std::string cut = replaced(damped, "repeat_kHz = 24", "repeat_kHz = 800");
  CHECK_THAT(only_warning(cut), Contains("cut short after 0.5 cycles"));
  check_advice(cut, "repeat_kHz");
}

TEST_CASE("A key that the kind of source does not use") {
  const std::string odd = replaced(usual, "kind = \"unregulated\"", "kind = \"constant_power\"");
  CHECK_THAT(only_warning(odd), StartsWith("case.toml:14:18: mode.0.source.rated_load_ohm = 500: ") &&
                                    Contains("kind = \"unregulated\" uses it"));
  CHECK(warned(replaced(odd, "rated_load_ohm = 500\n", "")).empty());
  CHECK(warned(replaced(odd, "kind = \"constant_power\"", "kind = \"unregulated\"")).empty());
  CHECK_THAT(only_warning(replaced(usual, "setting_W = 60", "setting_W = 60\nrms_V = 100")),
             Contains("kind = \"voltage\" uses it"));
  // Who changes the kind for one run knows what becomes idle.
  CHECK(warned(usual, {"mode.first.source.kind=constant_power"}).empty());
}

TEST_CASE("A peak limit below what the setting needs at the rated load") {
  // sqrt(2/0.06) sqrt(60 W x 500 ohm) = 1000 V.
  CHECK(warned(replaced(usual, "peak_limit_V = 3000", "peak_limit_V = 1000.1")).empty());
  const std::string odd = replaced(usual, "peak_limit_V = 3000", "peak_limit_V = 900");
  CHECK_THAT(only_warning(odd),
             StartsWith("case.toml:15:16: mode.0.source.peak_limit_V = 900: ") && Contains("that takes 1000 V peak"));
  check_advice(odd, "peak_limit_V");
}

TEST_CASE("A peak limit below what the setting needs at the load of the start") {
  const JudgedCase judged =
      parse_and_judge(replaced(replaced(usual, "kind = \"unregulated\"", "kind = \"constant_power\""),
                               "peak_limit_V = 3000", "peak_limit_V = 500"),
                      "case.toml", {}, tissue_library(), {});
  Mode mode = judged.c.modes.at(0);
  const auto told = [&](double load) { return limit_at_start_warning(mode, load, judged.limit_places.at(0)); };
  // sqrt(60 W x 100 ohm) is 77.5 V rms, 447 V peak; at 200 ohm 632 V, of which 500 give 37.5 W.
  CHECK(told(100).empty());
  REQUIRE(told(200).size() == 1);
  const std::string text = warning_text(told(200).front());
  CHECK_THAT(text, StartsWith("case.toml:15:16: mode.first.source.peak_limit_V = 500: ") && Contains("37.5 W") &&
                       Contains("632 V peak") && Contains("peak_limit_V = 633 is enough"));
  mode.source.peak_limit = 633;
  CHECK(told(200).empty());
  mode.source.peak_limit = 0;
  CHECK(told(200).empty());
  CHECK(told(std::numeric_limits<double>::infinity()).empty());
  mode.source.kind = SourceKind::voltage;
  mode.source.peak_limit = 1;
  CHECK(told(200).empty());
}

TEST_CASE("A source without a highest voltage over a contact that dries") {
  const std::string odd = replaced(
      replaced(replaced(usual, "kind = \"unregulated\"", "kind = \"constant_power\""), "rated_load_ohm = 500\n", ""),
      "peak_limit_V = 3000\n", "");
  CHECK_THAT(only_warning(odd), StartsWith("case.toml:11:1: mode.0.source.peak_limit_V is not given: ") &&
                                    Contains("mode.first.source.peak_limit_V sets one"));
  CHECK(warned(odd, {"mode.first.source.peak_limit_V=500"}).empty());
}

TEST_CASE("The cases of the repository are not warned of, but those that ask what a source without a limit does") {
  const std::set<std::string> without_limit = {"below_arcing", "equal_power", "rim_arcing"};
  const std::filesystem::path cases = tissue_library().parent_path();
  int found = 0;
  for (const std::string folder : {"", "lessons", "start"}) {
    for (const auto& entry : std::filesystem::directory_iterator(cases / folder)) {
      if (entry.path().extension() != ".toml" || entry.path().filename() == "sweep.toml") continue;
      INFO(entry.path());
      ++found;
      const JudgedCase judged = read_and_judge(entry.path(), {}, tissue_library());
      for (const CaseWarning& warning : judged.warnings) {
        if (without_limit.contains(entry.path().stem())) {
          CHECK_THAT(warning_text(warning), Contains("has no highest voltage"));
        } else {
          FAIL_CHECK(warning_text(warning));
        }
      }
    }
  }
  CHECK(found > 15);
}
