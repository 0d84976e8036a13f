// All that is wrong with a case is said at once, and former names are answered with the new ones.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <string>
#include <vector>

#include "case_file_sample.hpp"
#include "files/case/former_names.hpp"
#include "files/file_error.hpp"
#include "plan_sample.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

// "place: what" of each problem, in the order they are told.
std::vector<std::string> problems(const std::string& text, const std::vector<std::string>& overrides = {}) {
  std::vector<std::string> told;
  try {
    parsed(text, overrides);
  } catch (const CaseError& error) {
    for (const CaseProblem& problem : error.problems()) told.push_back(problem.place + ": " + problem.what);
  }
  return told;
}

using Told = std::vector<std::string>;

}  // namespace

TEST_CASE("A case that misses its modes and has an unknown key says both, with their number") {
  CHECK(refusal("[specimen]\ntissue = \"fat\"\n[electrode]\nradius_cm = 0.6\n[time]\ntolerance = -1\n") ==
        "case.toml:1:1: missing mode (one waveform on one source, at least once)\n"
        "  given: nothing\n"
        "  allowed: a list of tables [{ key = value, ... }, ...]\n"
        "\n"
        "case.toml:4:1: unknown key 'electrode.radius_cm': its unit has to be mm\n"
        "  given: radius_cm = 0.6\n"
        "  allowed: shape, radius_mm, inner_radius_mm, press_mm, length_mm, edge_radius_mm, contact, contact_S_m2, "
        "contact_fraction, spot_pitch_mm, interface_mm, gap_mm, heat, heat_W_m2K, capacity_J_K\n"
        "  did you mean 'radius_mm'?\n"
        "\n"
        "case.toml:6:13: time.tolerance is out of range\n"
        "  given: tolerance = -1\n"
        "  allowed: a number > 0 and <= 100\n"
        "\n"
        "3 problems");
}

TEST_CASE("Problems of all sections are told in the order of the file, overrides after them") {
  const std::string text =
      replaced(sample_text(), "radius_mm = 30", "radius_mm = \"30\"\nstart_C = 200") +
      "[grid]\ncoarse_mm = 9\nfine_mm = 9\n[[probe]]\nname = \"a b\"\nr_mm = 0\n[output]\nfields = [\"x\", \"y\"]\n";
  CHECK(problems(text, {"mode.0.activation_s=nan", "mode.7.after_s=1"}) ==
        Told{"case.toml:3:13: specimen.radius_mm is a text", "case.toml:4:11: specimen.start_C is out of range",
             "case.toml:12:11: grid.fine_mm does not resolve the electrode",
             "case.toml:13:1: missing probe.0.z_mm (depth below the surface)",
             "case.toml:14:8: probe.0.name cannot name a group of the run file",
             "case.toml:17:10: output.fields has no field 'x'", "case.toml:17:10: output.fields has no field 'y'",
             "--set mode.7.after_s=1: finds no entry '7'",
             "--set mode.0.activation_s=nan: mode.0.activation_s is not finite"});
}

TEST_CASE("What follows from a problem that is told is not told again") {
  const auto one = [](const std::string& old, const std::string& fresh, const std::string& told) {
    INFO(fresh);
    CHECK(problems(replaced(sample_text(), old, fresh)) == Told{told});
  };
  one("[electrode]\nradius_mm = 6", "[elektrode]\nradius_mm = 31", "case.toml:4:2: unknown key 'elektrode'");
  one("[[mode]]", "[[mod]]", "case.toml:6:3: unknown key 'mod'");
  one("name = \"continuous\"", "nam = \"continuous\"", "case.toml:7:1: unknown key 'mode.0.nam'");
  one("setting_W = 50", "seting_W = 50", "case.toml:8:37: unknown key 'mode.0.source.seting_W'");
  one("kind = \"constant_power\", setting_W = 50", "kind = \"voltag\"",
      "case.toml:8:19: mode.0.source.kind has no choice 'voltag'");
  one("radius_mm = 6", "shape = \"rng\"\nradius_mm = 6", "case.toml:5:9: electrode.shape has no choice 'rng'");
  one("radius_mm = 30", "radius_mm = 3000", "case.toml:3:13: specimen.radius_mm is out of range");
  one("radius_mm = 30", "radius_mm = -30", "case.toml:3:13: specimen.radius_mm is out of range");
  one("tissue = \"liver_ex_vivo\"", "layrs = [{ tissue = \"fat\" }]", "case.toml:2:1: unknown key 'specimen.layrs'");
  one("[electrode]", "[tissue.liver_ex_vivo]\nboil_C = \"hot\"\n[electrode]",
      "case.toml:5:10: tissue.liver_ex_vivo.boil_C is a text");
  const std::string dome = replaced(sample_text(), "radius_mm = 6", "shape = \"dome\"");
  CHECK(problems(dome) == Told{"case.toml:4:1: electrode.press_mm is missing for a dome"});
  CHECK(problems(replaced(dome, "radius_mm = 30", "press_mm = 3")) ==
        Told{"case.toml:3:1: unknown key 'specimen.press_mm': it belongs in [electrode]"});
}

TEST_CASE("A table that cannot be read is told with the rest of a wrong case, and alone is the disk's fault") {
  const std::string text =
      replaced(sample_text(), "kind = \"constant_power\"", "kind = \"table\", file = \"no_such.csv\"");
  CHECK_THROWS_AS(parsed(text), FileError);
  const std::string wrong = replaced(text, "radius_mm = 6", "radius_mm = -6");
  CHECK_THAT(refusal(wrong), StartsWith("case.toml:5:13: electrode.radius_mm is out of range") &&
                                 Contains("no_such.csv: cannot read") && Contains("2 problems"));
}

TEST_CASE("All that is wrong with a tissue of the library is told") {
  const ScratchDirectory scratch("problems");
  std::ofstream(scratch.path() / "stuff.toml") << "[tissue.stuff]\nconductivity_S_m = 500\ndensity_kg_m3 = \"x\"\n";
  try {
    parse_case(replaced(sample_text(), "liver_ex_vivo", "stuff"), "case.toml", {}, scratch.path(), {});
    FAIL("was read");
  } catch (const CaseError& error) {
    CHECK(error.problems().size() > 10);
    CHECK_THAT(error.what(), Contains("conductivity_S_m is out of range") && Contains("density_kg_m3 is a text") &&
                                 Contains("missing tissue.stuff.water_fraction") && !Contains("damage"));
  }
}

TEST_CASE("Labels are short, plain and each its own") {
  const auto labelled = [](const std::string& label) {
    return problems(
        replaced(sample_text(), "name = \"continuous\"", "name = \"continuous\"\nlabel = \"" + label + "\""));
  };
  CHECK(labelled("interrupted, 2.5 % on").empty());
  CHECK(labelled(std::string(40, 'x')).empty());
  std::string umlauts;
  for (int k = 0; k < 40; ++k) umlauts += "\u00e4";
  CHECK(labelled(umlauts).empty());
  CHECK(labelled("") == Told{"case.toml:8:9: mode.0.label is no label: ''"});
  CHECK(labelled(std::string(41, 'x')).size() == 1);
  CHECK(labelled("a\\tb").size() == 1);
  CHECK(labelled("a\\u0085b").size() == 1);
  const std::string second =
      "[[mode]]\nname = \"other\"\nlabel = \"continuous\"\n"
      "source = { kind = \"constant_power\", setting_W = 1 }\n";
  CHECK(problems(sample_text() + second) == Told{"case.toml:11:9: mode.1.label is used twice: 'continuous'"});
  CHECK(parsed(sample_text()).modes.at(0).label == "continuous");
}

namespace {

struct Former {
  std::string was;         // the row of the table
  std::string old, fresh;  // what is replaced in the sample
  std::string begins;      // how the message begins
};

const std::vector<Former>& in_cases() {
  static const std::vector<Former> all = {
      {"drive", "[[mode]]", "[[drive]]", "case.toml:6:3: unknown key 'drive': it is called mode now"},
      {"dwell_s", "[[mode]]", "[[mode]]\ndwell_s = 3",
       "case.toml:7:1: unknown key 'mode.0.dwell_s': it is called activation_s now"},
      {"dial_W", "setting_W", "dial_W",
       "case.toml:8:37: unknown key 'mode.0.source.dial_W': it is called setting_W now"},
      {"regulated", "\"constant_power\"", "\"regulated\"",
       "case.toml:8:19: mode.0.source.kind has no choice 'regulated': it is called constant_power now"},
      {"matched", "\"constant_power\"", "\"matched\"",
       "case.toml:8:19: mode.0.source.kind has no choice 'matched': it is called unregulated now"},
      {"power", "\"constant_power\"", "\"power\"",
       "case.toml:8:19: mode.0.source.kind has no choice 'power': it is called constant_power now (without "},
      {"match_ohm", "setting_W = 50", "setting_W = 50, match_ohm = 300",
       "case.toml:8:53: unknown key 'mode.0.source.match_ohm': it is called rated_load_ohm now"},
      {"decaying", "[[mode]]", "[[mode]]\nwaveform = { kind = \"decaying\" }",
       "case.toml:7:21: mode.0.waveform.kind has no choice 'decaying': it is called damped now"},
      {"striking", "[electrode]", "[physics]\nstriking = true\n[electrode]",
       "case.toml:5:1: unknown key 'physics.striking': it is called arcing now"},
      {"crust", "[electrode]", "[physics]\ncrust = true\n[electrode]",
       "case.toml:5:1: unknown key 'physics.crust': it is called eschar now"},
      {"crust_um", "[electrode]", "[physics]\ncrust_um = 20\n[electrode]",
       "case.toml:5:1: unknown key 'physics.crust_um': it is called eschar_um now"},
      {"skin_mm", "radius_mm = 6", "radius_mm = 6\nskin_mm = 0.1",
       "case.toml:6:1: unknown key 'electrode.skin_mm': it is called interface_mm now"},
      {"asperity", "radius_mm = 6", "radius_mm = 6\ncontact = \"asperity\"",
       "case.toml:6:11: electrode.contact has no choice 'asperity': it is called spots now"},
      {"footing", "[electrode]", "[comparison]\nfooting = \"energy\"\n[electrode]",
       "case.toml:5:1: unknown key 'comparison.footing': it is called basis now"},
      {"same_dial", "[electrode]", "[comparison]\nbasis = \"same_dial\"\n[electrode]",
       "case.toml:5:9: comparison.basis has no choice 'same_dial': it is called same_setting now"},
  };
  return all;
}

// The message with which the sample plan is refused after `old` in it has become `fresh`.
std::string plan_refusal(const std::string& old, const std::string& fresh) {
  try {
    sample_plan_with(
        "[[design]]\nname = \"d\"\nkind = \"one_at_a_time\"\n[analysis]\noutputs = [\"continuous.peak_C\"]\n",
        replaced(sample_plan, old, fresh));
  } catch (const CaseError& error) {
    return error.what();
  }
  return "";
}

std::string column_refusal(const std::string& column) {
  try {
    sample_plan_with("[[design]]\nname = \"d\"\nkind = \"one_at_a_time\"\n[analysis]\noutputs = [\"" + column +
                     "\"]\n");
  } catch (const CaseError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("A former name is answered with the new one, and nothing else is wrong with such a case") {
  for (const Former& former : in_cases()) {
    const std::string message = refusal(replaced(sample_text(), former.old, former.fresh));
    INFO(message);
    CHECK_THAT(message, StartsWith(former.begins));
    CHECK_THAT(message, Contains("did you mean '" + std::string(former_name(former.was)->now) + "'?"));
    CHECK_THAT(message, !Contains("problems"));
  }
}

TEST_CASE("Every former name is tested") {
  std::vector<std::string> tested = {"drives", "dry", "struck_s", "struck_share", "constriction_mm"};
  for (const Former& former : in_cases()) tested.push_back(former.was);
  std::vector<std::string> listed;
  for (const FormerName& row : former_names()) listed.emplace_back(row.was);
  std::sort(tested.begin(), tested.end());
  std::sort(listed.begin(), listed.end());
  CHECK(tested == listed);
}

TEST_CASE("A former name counts only where the new one can stand") {
  CHECK(former_name("constriction_mm", std::vector<std::string>{"spot_pitch_mm"})->now == "spot_pitch_mm");
  CHECK(former_name("constriction_mm", std::vector<std::string>{"radius_mm"}) == nullptr);
  CHECK_THAT(
      refusal(replaced(sample_text(), "[[mode]]", "[[mode]]\ndial_W = 3")),
      StartsWith("case.toml:7:1: unknown key 'mode.0.dial_W': it is called setting_W now and belongs in [[mode]] "
                 "source = { ... }"));
  CHECK(
      refusal(replaced(sample_text(), "[electrode]", "[[effect]]\nname = \"dry\"\nof = \"dry\"\nat = 0.3\n[electrode]"))
          .empty());
}

TEST_CASE("An old case is answered whole") {
  const std::string old = replaced(replaced(sample_text(), "[[mode]]", "[[drive]]\ndwell_s = 4"),
                                   "kind = \"constant_power\", setting_W", "kind = \"matched\", dial_W");
  CHECK(
      problems(old, {"drive.continuous.source.dial_W=30"}) ==
      Told{"case.toml:6:3: unknown key 'drive': it is called mode now",
           "case.toml:7:1: unknown key 'mode.0.dwell_s': it is called activation_s now",
           "case.toml:9:19: mode.0.source.kind has no choice 'matched': it is called unregulated now",
           "case.toml:9:30: unknown key 'mode.0.source.dial_W': it is called setting_W now",
           "--set drive.continuous.source.dial_W=30: unknown key 'drive': it is called mode now",
           "--set drive.continuous.source.dial_W=30: unknown key 'mode.0.source.dial_W': it is called setting_W now"});
}

TEST_CASE("Former names of a plan are answered with the new ones") {
  CHECK_THAT(plan_refusal("modes =", "drives ="),
             StartsWith("folder/plan.toml:3:1: unknown key 'drives': it is called modes now") && !Contains("problems"));
  CHECK_THAT(plan_refusal("\"mode.*.activation_s\"", "\"drive.*.dwell_s\""),
             StartsWith("folder/plan.toml:6:21: unknown key 'drive': it is called mode now") &&
                 Contains("'mode.0.dwell_s': it is called activation_s now"));
  CHECK_THAT(plan_refusal("physics.eschar", "physics.crust"),
             Contains("axis.eschar cannot be set: unknown key 'physics.crust': it is called eschar now"));
  CHECK_THAT(column_refusal("continuous.depth_mm.dry"),
             Contains("analysis.outputs has 'continuous.depth_mm.dry': it is called desiccation now") &&
                 Contains("did you mean 'desiccation'?"));
  CHECK_THAT(column_refusal("continuous.struck_s"), Contains("it is called arcing_s now"));
  CHECK_THAT(column_refusal("continuous.struck_share"), Contains("it is called arcing_share now"));
  CHECK(column_refusal("continuous.depth_mm.desiccation").empty());
}

TEST_CASE("All that is wrong with a plan is told in the order of the file") {
  const std::string message =
      plan_refusal("seed = 5\nmodes = [\"interrupted\", \"continuous\"]\n[set]\n",
                   "sed = 5\nmodes = [\"interupted\"]\nkeep = \"some\"\n"
                   "constraints = [\"setting < x\", \"eschar == 1\"]\n[set]\ngrid.growth = 9\n");
  INFO(message);
  CHECK_THAT(message, StartsWith("folder/plan.toml:2:1: unknown key 'sed'"));
  // The base case has a problem, so that modes and the ends of the axes are not judged.
  std::size_t at = 0;
  for (const std::string part :
       {"keep is not understood", "constraints.0 has 'x'", "constraints.1 compares 'eschar'",
        "folder/plan.toml:7:15: grid.growth is out of range", "design.0 cannot leave out points", "6 problems"}) {
    const std::size_t found = message.find(part, at);
    CHECK(found != std::string::npos);
    at = std::min(found, message.size());
  }
  CHECK_THAT(message, !Contains("axis."));
}
