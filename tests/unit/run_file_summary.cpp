#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <sstream>

#include "files/json.hpp"
#include "files/run_file/summary_json.hpp"
#include "report/comparison.hpp"
#include "report/progress.hpp"
#include "report/wrapped_text.hpp"
#include "run_file_synthetic.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::EndsWith;
using Catch::Matchers::StartsWith;

namespace {

std::vector<ModeRecord> records_of(const Case& c, std::vector<double> depths) {
  std::vector<ModeRecord> records;
  for (std::size_t k = 0; k < depths.size(); ++k)
    records.push_back(synthetic_record(c, static_cast<int>(k), depths[k]));
  return records;
}

std::string verdict_of(const std::vector<double>& depths) {
  const Case c = synthetic_case();
  return verdict(c, synthetic_grid(), records_of(c, depths));
}

}  // namespace

TEST_CASE("the summary has every number in its stated unit") {
  const Case c = synthetic_case();
  const auto text = json_text(summary_json(c, {"1.2.3", "main.toml", 12, 1.5}, records_of(c, {3e-3, 2e-3})));
  CHECK(text.find('\n') == std::string::npos);
  const auto json = nlohmann::json::parse(text);
  CHECK(json["version"] == "1.2.3");
  CHECK(json["case"] == "main.toml");
  CHECK(json["cells"] == 12);
  CHECK(json["wall_s"] == 1.5);
  REQUIRE(json["modes"].size() == 2);
  const auto& mode = json["modes"][1];
  CHECK(mode["name"] == "interrupted");
  CHECK(mode["completed"] == true);
  CHECK(mode["steps"] == 2);
  CHECK(mode["depth_mm"]["coagulation"].get<double>() == Approx(2).epsilon(1e-14));
  CHECK(mode["axis_depth_mm"]["coagulation"].get<double>() == Approx(1.8).epsilon(1e-14));
  CHECK(mode["half_width_mm"]["coagulation"].get<double>() == Approx(6).epsilon(1e-14));
  CHECK(mode["volume_mm3"]["coagulation"].get<double>() == Approx(100).epsilon(1e-14));
  CHECK(mode["depth_mm"]["char"] == 0);
  CHECK(mode["resistance_ohm"] == nlohmann::json({{"start", 120.0}, {"least", 80.0}, {"end", 900.0}}));
  CHECK(mode["delivered_J"] == 555);
  CHECK(mode["surface_J"] == 111);
  CHECK(mode["peak_C"] == 140);
  CHECK(mode["ledger"]["water"] == 1e-7);
  CHECK(mode["ledger"]["terms"]["latent_J"] == 77);
  CHECK(mode["probes"]["below"]["temperature_C"] == std::vector<double>{22, 50, 80});
  CHECK(mode["probes"]["below"]["t_s"] == std::vector<double>{0, 1, 3});
  CHECK(mode["probes"]["below"]["omega"] == std::vector<double>{0, 0.5, 2});
  for (const char* name :
       {"t_s", "resistance_ohm", "power_W", "rms_V", "peak_V", "current_A", "arcing_share", "surface_W"}) {
    INFO(name);
    CHECK(mode["trace"][name].size() == 3);
  }
  CHECK(mode["trace"]["greatest_depth_mm"]["coagulation"][2].get<double>() == Approx(2).epsilon(1e-14));
}

TEST_CASE("what did not happen or is no number is null") {
  const Case c = synthetic_case();
  auto records = records_of(c, {3e-3, 2e-3});
  records[0].ledger.energy = std::numeric_limits<double>::infinity();
  records[0].trace.resistance[1] = std::numeric_limits<double>::infinity();
  const auto json = nlohmann::json::parse(json_text(summary_json(c, {}, records)));
  CHECK(json["modes"][0]["arcing_s"].is_null());
  CHECK(json["modes"][1]["arcing_s"] == 1.25);
  CHECK(json["modes"][0]["dry_out_s"].is_null());
  CHECK(json["modes"][0]["ledger"]["energy"].is_null());
  CHECK(json["modes"][0]["trace"]["resistance_ohm"][1].is_null());
}

TEST_CASE("bytes that are no UTF-8 do not spoil the summary") {
  Case c = synthetic_case();
  c.title = "caf\xe9";
  CHECK(nlohmann::json::accept(json_text(summary_json(c, {}, {}))));
}

// The synthetic grid has cells of 0.5, 1, 1.5 and 3 mm from the surface down.
TEST_CASE("the verdict names the deeper mode, by how much in mm and per cent") {
  CHECK(verdict_of({4.8e-3, 1.2e-3}) ==
        "continuous (5 mm) reached deeper with coagulation than interrupted (1.2 mm), by 4 mm or 300 %.");
  CHECK_THAT(verdict_of({0.4e-3, 1.4e-3}),
             StartsWith("interrupted (1.4 mm) reached deeper") && Contains("by 1.0 mm or 250 %"));
  CHECK_THAT(verdict_of({2e-3, 0}), Contains("than interrupted, which reached none."));
}

TEST_CASE("the verdict names no winner below the resolution of the grid") {
  CHECK(verdict_of({2.5e-3, 2.4e-3}) ==
        "No winner with coagulation: continuous (2 mm) and interrupted (2 mm) differ by less than the 1.5 mm cells of "
        "the grid there.");
  CHECK_THAT(verdict_of({2e-3, 2e-3}), StartsWith("No winner"));
  CHECK_THAT(verdict_of({6e-3, 4e-3}), StartsWith("No winner"));  // the last cell, at the bottom
}

TEST_CASE("the verdict takes modes the grid cannot tell apart together") {
  Case c = synthetic_case();
  c.modes.push_back(c.modes[1]);
  c.modes[2].name = "third";
  c.modes.push_back(c.modes[1]);
  c.modes[3].name = "fourth";
  const Grid even({0, 1e-3, 2e-3}, {0, 1e-3, 2e-3, 3e-3, 4e-3, 5e-3});
  CHECK(verdict(c, even, records_of(c, {4.8e-3, 2.5e-3, 4.2e-3, 0.5e-3})) ==
        "continuous (4.8 mm) and third (4.2 mm), alike within the 1.0 mm cells of the grid there, reached deeper with "
        "coagulation than interrupted (2.5 mm), by 1.7 mm or 68 %, and than the shallowest, fourth (0.5 mm), by 3.7 mm "
        "or 740 %.");
  CHECK_THAT(verdict(c, even, records_of(c, {4.8e-3, 2.5e-3, 2.4e-3, 2.3e-3})), EndsWith("by 2.3 mm or 92 %."));
}

TEST_CASE("the verdict is honest where there is nothing to compare") {
  CHECK(verdict_of({0, 0}) == "No mode reached any depth of coagulation.");
  CHECK(verdict_of({2e-3}) == "continuous: 2 mm of coagulation; one mode, nothing to compare it with.");
  CHECK(verdict_of({0}) == "continuous: no coagulation; one mode, nothing to compare it with.");
  const Case c = synthetic_case();
  auto records = records_of(c, {4e-3, 1e-3});
  records[1].completed = false;
  CHECK(verdict(c, synthetic_grid(), records) == "No comparison: interrupted did not complete.");
}

TEST_CASE("the comparison fits a terminal, whatever the modes are called") {
  Case c = synthetic_case();
  const auto names = GENERATE(std::vector<std::string>{"continuous", "interrupted"}, std::vector<std::string>(7, "a"),
                              std::vector<std::string>(5, "gated, 6 % duty"),
                              std::vector<std::string>{std::string(150, 'x'), "tab\tand \x1b[31mcolour"},
                              std::vector<std::string>{"d\xc3\xa9"
                                                       "charge",
                                                       "two"});
  c.modes.resize(names.size());
  std::vector<ModeRecord> records;
  for (std::size_t k = 0; k < names.size(); ++k) {
    c.modes[k].name = names[k];
    records.push_back(synthetic_record(c, static_cast<int>(k), 3e-3));
  }
  const std::string text = comparison(c, synthetic_grid(), records, {});
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const auto characters = std::count_if(
        line.begin(), line.end(), [](char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U; });
    CHECK(characters <= static_cast<std::ptrdiff_t>(text_width));
    CHECK(std::none_of(line.begin(), line.end(), [](char byte) { return static_cast<unsigned char>(byte) < 0x20; }));
  }
  for (const char* row :
       {"greatest depth, coagulation", "greatest depth, char", "half-width, coagulation", "volume, coagulation",
        "load at the start", "load at the end", "energy delivered", "of it into the surface", "arcing from",
        "dry-out at", "greatest temperature", "No interval was computed"}) {
    CHECK_THAT(text, Contains(row));
  }
}

TEST_CASE("text is broken at blanks by its characters, behind what stands before it") {
  std::string long_text;
  for (int k = 0; k < 60; ++k)
    long_text +=
        "d\xc3\xa9"
        "ep ";
  const std::string text = wrapped(long_text, "- ");
  std::istringstream lines(text);
  std::string line;
  std::getline(lines, line);
  CHECK(
      line.starts_with("- d\xc3\xa9"
                       "ep"));
  CHECK(length_of(line) == 96);  // two characters, 19 words of four, 18 blanks: one word more would be 101
  CHECK(line.size() == 115);     // and a byte more per word
  std::getline(lines, line);
  CHECK(
      line.starts_with("  d\xc3\xa9"
                       "ep"));
  CHECK(wrapped(std::string(300, 'x')) == std::string(text_width - 2, 'x') + "..\n");
  CHECK(cut_to("a\tb\xc3\xa9"
               "cd",
               5) == "a b..");
}

TEST_CASE("the progress line tells the share and the time left") {
  CHECK(progress_text(0, 0) == "   0 %");
  CHECK(progress_text(0.25, 10) == "  25 %, about 30 s left");
  CHECK(progress_text(0.5, 90) == "  50 %, about 1 min 30 s left");
  CHECK(progress_text(0.01, 100) == "   1 %, about 2 h 45 min left");
}

TEST_CASE("the progress of a sweep tells what is done, how fast, and what is left") {
  CHECK(sweep_progress_text({.planned = 0}) == "0 of 0 (100.0 %)");
  CHECK(sweep_progress_text({.planned = 1000, .earlier = 100, .computed = 100, .failed = 3, .elapsed = 50}) ==
        "200 of 1000 (20.0 %), 2 runs/s, about 6 min 40 s left, 3 failed");
}
