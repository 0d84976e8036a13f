// What is said of a mode past the temperatures the model knows, and of a source without a highest voltage.
#include "files/model_range.hpp"

#include <catch2/catch.hpp>

#include "files/case/odd_values.hpp"
#include "files/json.hpp"
#include "files/run_file/summary_json.hpp"
#include "report/comparison.hpp"
#include "run_file_synthetic.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;

namespace {

// Of two effects of synthetic_case() the first rests on the passing.
ModeRecord passed_record(const Case& c) {
  ModeRecord record = synthetic_record(c, 0, 3e-3);
  record.label = "low voltage";
  record.peak_temperature = 412.4;
  record.past_range = {2.31, 5e-5, 1.25e-3};
  record.effects[0].past_range = true;
  return record;
}

}  // namespace

TEST_CASE("a mode past the model's range says when, where, how hot and which depths rest on it") {
  const Case c = synthetic_case();
  ModeRecord record = passed_record(c);
  CHECK(model_range_sentence(record) ==
        "\"low voltage\" passed 300 \u00b0C, up to which the model knows tissue, at 2.3 s (0.05 mm from the "
        "middle, 1.25 mm deep) and reached 412 \u00b0C: its depths marked * rest on that (coagulation).");
  record.effects[0].past_range = false;
  CHECK_THAT(model_range_sentence(record), Contains("none of its depths changed after that"));
  record.past_range = {};
  CHECK(model_range_sentence(record).empty());
}

TEST_CASE("summary and comparison carry the mark and its footnote, and nothing where nothing passed") {
  const Case c = synthetic_case();
  const std::vector<ModeRecord> records{passed_record(c), synthetic_record(c, 1, 2e-3)};
  const auto json = nlohmann::json::parse(json_text(summary_json(c, {}, records)));
  const auto &passed = json["modes"][0]["past_range"], &other = json["modes"][1]["past_range"];
  CHECK(passed["passed"] == true);
  CHECK(passed["t_s"] == 2.31);
  CHECK(passed["r_mm"].get<double>() == Approx(0.05));
  CHECK(passed["z_mm"].get<double>() == Approx(1.25));
  CHECK(passed["depth"] == nlohmann::json({{"coagulation", true}, {"char", false}}));
  CHECK(passed["sentence"] == model_range_sentence(records[0]));
  CHECK(other["passed"] == false);
  CHECK(other["t_s"].is_null());
  CHECK(other["sentence"] == "");

  const std::string text = comparison(c, synthetic_grid(), records, {});
  CHECK_THAT(text, Contains("3 mm*") && Contains("* \"low voltage\" passed 300 \u00b0C") && !Contains("2 mm*"));
  CHECK_THAT(comparison(c, synthetic_grid(), std::span(records).subspan(1), {}), !Contains("*"));
}

TEST_CASE("a source that holds its power over a contact that can dry wants a highest voltage") {
  Case c = synthetic_case();
  c.modes.resize(1);
  Source& source = c.modes[0].source;
  const auto warned = [&c] { return odd_value_warnings(c, toml::table()).size(); };
  for (const SourceKind kind : {SourceKind::constant_power, SourceKind::temperature, SourceKind::table}) {
    source.kind = kind;
    REQUIRE(warned() == 1);
    CHECK_THAT(odd_value_warnings(c, toml::table())[0].advice, Contains("mode.continuous.source.peak_limit_V"));
  }
  for (const SourceKind kind : {SourceKind::unregulated, SourceKind::voltage}) {
    source.kind = kind;
    CHECK(warned() == 0);
  }
  source.kind = SourceKind::constant_power;
  source.current_limit = 1;  // bounds no voltage
  CHECK(warned() == 1);
  source.peak_limit = 500;
  CHECK(warned() == 0);
  source.peak_limit = 0;
  c.electrode.contact = ContactKind::gap;
  CHECK(warned() == 1);
  c.electrode.contact = ContactKind::perfect;
  CHECK(warned() == 0);
  c.electrode.contact = ContactKind::spots;
  c.physics.boil_off = false;
  CHECK(warned() == 0);
}
