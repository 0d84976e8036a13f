// The table of measured sections: what is read, and that every slip is answered with file, line and column. Quoting,
// separators and decimal comma as RFC 4180 and common practice of spreadsheets have them.
#include "files/measured/sections.hpp"

#include <catch2/catch.hpp>

#include "files/case/case_error.hpp"
#include "files/measured/csv_text.hpp"
#include "small_case.hpp"

namespace dryfront {
namespace {

using Catch::Matchers::Contains;

Case two_modes() {
  Case c = small_case();
  c.modes = {small_mode("low", 1, 10), small_mode("gated", 0.1, 10)};
  c.modes[1].label = "interrupted, 10 % on";
  c.effects = default_effects();
  return c;
}

MeasuredSections read(const std::string& text, SectionsUse use = SectionsUse::measured) {
  return parse_sections(text, "t.csv", two_modes(), 0, {}, use);
}

std::string complaint(const std::string& text) {
  try {
    read(text);
  } catch (const CaseError& error) {
    return error.what();
  }
  return "nothing";
}

const std::string header = "mode,specimen,depth_mm,depth_spread_mm\n";

TEST_CASE("a table with everything is read") {
  const MeasuredSections sections = read(
      "# by hand\n"
      "mode,specimen,effect,activation_s,setting_W,electrode.radius_mm,depth_mm,depth_spread_mm,dry_out_s,"
      "dry_out_spread_s,held_out\n"
      "low,\"a, first\",desiccation,8,40,3,2.5,0.2,none,0.5,no\r\n"
      "\n"
      "\"interrupted, 10 % on\",2,,,,,1.5,0.1,,,yes\n");
  REQUIRE(sections.rows.size() == 2);
  const MeasuredRow& row = sections.rows[0];
  CHECK(row.place == "t.csv:3:1");
  CHECK(row.specimen == "a, first");
  CHECK(row.effect == 1);
  CHECK(row.overrides ==
        std::vector<std::string>{"mode.0.activation_s=8", "mode.0.source.setting_W=40", "electrode.radius_mm=3"});
  REQUIRE(row.values.size() == 2);
  CHECK(row.values[0].value == 2.5);
  CHECK(row.values[0].spread == 0.2);
  CHECK(row.values[1].kind == MeasuredKind::dry_out);
  CHECK(row.values[1].none);
  CHECK_FALSE(row.held_out);
  CHECK(sections.rows[1].mode == 1);
  CHECK(sections.rows[1].effect == 0);
  CHECK(sections.rows[1].held_out);
  CHECK(sections.rows[1].overrides.empty());
}

TEST_CASE("semicolons and tabs allow a decimal comma") {
  for (const char separator : {';', '\t'}) {
    std::string text = "mode;specimen;depth_mm;depth_spread_mm\nlow;1;2,5;0,2\n";
    std::replace(text.begin(), text.end(), ';', separator);
    CHECK(read(text).rows.at(0).values.at(0).value == 2.5);
  }
}

TEST_CASE("what the page saves is read, its outlines are counted") {
  const std::string page =
      "mode,specimen,effect,depth_mm,half_width_mm,part,r_mm,z_mm\n"
      "low,1,coagulation,2.5,6.0,,,\n"
      "low,1,coagulation,,,1,0.0,2.5\n"
      "low,1,coagulation,,,1,6.0,0.0\n";
  const MeasuredSections sections =
      parse_sections(page, "t.csv", two_modes(), 0, {0.2, 0.4, std::nullopt}, SectionsUse::measured);
  REQUIRE(sections.rows.size() == 1);
  CHECK(sections.outline_points == 2);
  CHECK(sections.rows[0].values.at(1).spread == 0.4);
  CHECK_THAT(complaint(page), Contains("t.csv:2:19: the depth has no spread") && Contains("depth_spread_mm"));
}

TEST_CASE("the template is a table that can be read") {
  Case c = two_modes();
  c.modes[0].name = "low_voltage";
  c.modes[1].name = "gated_6_percent";
  CHECK(parse_sections(sections_template(), "t.csv", c, 0, {}, SectionsUse::measured).rows.size() == 3);
}

TEST_CASE("wrong columns are answered with their place") {
  CHECK_THAT(complaint("mode,specimen,depth_cm\nlow,1,2\n"),
             Contains("t.csv:1:15: no such column") && Contains("did you mean 'depth_mm'"));
  CHECK_THAT(complaint("mode,depth_mm\nlow,2\n"), Contains("t.csv:1:1: the column specimen is missing"));
  CHECK_THAT(complaint("mode,specimen,mode\nlow,1,low\n"), Contains("t.csv:1:15: a column twice"));
  CHECK_THAT(complaint(header), Contains("nothing to read"));
  CHECK_THAT(complaint(header + "low,1,2,5,0.2\n"), Contains("t.csv:2:11: 5 fields where the header has 4"));
  CHECK_THAT(complaint(header + "low,\"1,2,0.2\n"), Contains("t.csv:2:5: a quotation mark that nothing closes"));
}

TEST_CASE("impossible values are answered with their place, all at once") {
  CHECK_THAT(complaint(header + "lo,1,2,0.2\n"), Contains("t.csv:2:1: no such mode") && Contains("did you mean 'low'"));
  CHECK_THAT(complaint(header + "low,,2,0.2\n"), Contains("t.csv:2:5: the specimen is empty"));
  CHECK_THAT(complaint(header + "low,1,2 mm,0.2\n"), Contains("t.csv:2:7: the depth is no number"));
  CHECK_THAT(complaint(header + "low,1,nan,0.2\n"), Contains("t.csv:2:7: the depth is no number"));
  CHECK_THAT(complaint(header + "low,1,-1,0.2\n"), Contains("t.csv:2:7: the depth cannot be"));
  CHECK_THAT(complaint(header + "low,1,2500,0.2\n"), Contains("t.csv:2:7: the depth cannot be"));
  CHECK_THAT(complaint(header + "low,1,2,0\n"), Contains("t.csv:2:9: the spread of the depth cannot be"));
  CHECK_THAT(complaint(header + "low,1,2,\n"), Contains("t.csv:2:7: the depth has no spread"));
  CHECK_THAT(complaint(header + "low,1,,0.2\n"), Contains("t.csv:2:8: a spread without its depth"));
  CHECK_THAT(complaint(header + "low,1,2,0.2\nlow,1,3,0.2\n"), Contains("t.csv:3:7: given twice"));
  CHECK_THAT(complaint("mode,specimen,held_out,depth_mm,depth_spread_mm\nlow,1,maybe,2,1\n"),
             Contains("t.csv:2:7: held_out is neither"));
  CHECK_THAT(complaint("mode,specimen,effect,depth_mm,depth_spread_mm\nlow,1,coagulaton,2,1\n"),
             Contains("t.csv:2:7: no such effect") && Contains("did you mean 'coagulation'"));
  CHECK_THAT(complaint("mode,specimen,activation_s,depth_mm,depth_spread_mm\nlow,1,ten,2,1\n"),
             Contains("t.csv:2:7: activation_s is no number"));
  CHECK_THAT(complaint(header + "lo,1,-2,0.2\nlow,2,x,0\n"), Contains("4 problems"));
}

TEST_CASE("candidates need neither specimen nor number") {
  const MeasuredSections sections = read("mode,specimen,activation_s\nlow,,5\ngated,,8\n", SectionsUse::candidates);
  REQUIRE(sections.rows.size() == 2);
  CHECK(sections.rows[1].overrides == std::vector<std::string>{"mode.1.activation_s=8"});
}

}  // namespace
}  // namespace dryfront
