#include <catch2/catch.hpp>
#include <string>

#include "case_file_sample.hpp"
#include "files/plan/plan_file.hpp"
#include "plan_sample.hpp"

using namespace dryfront;

namespace {

const std::string grid_design = R"([[design]]
name = "map"
kind = "grid"
axes = ["setting", "contact"]
)";

// The message with which a plan is refused, the sample changed at one place; empty when it is not.
std::string plan_refusal(const std::string& old, const std::string& fresh, const std::string& more = grid_design) {
  try {
    sample_plan_with(more, old.empty() ? fresh + sample_plan : replaced(sample_plan, old, fresh));
  } catch (const CaseError& error) {
    return error.what();
  }
  return "";
}

void refused(const std::string& message, std::initializer_list<const char*> texts) {
  for (const char* text : texts) {
    CAPTURE(message);
    CHECK(message.find(text) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a plan is read with its axes in the order they are written", "[plan]") {
  const Plan plan = sample_plan_with(grid_design);
  REQUIRE(plan.axes.size() == 4);
  CHECK(plan.axes[0].name == "setting");
  CHECK(plan.axes[1].name == "contact");
  CHECK(plan.axes[2].name == "spark");
  CHECK(plan.axes[3].name == "eschar");
  CHECK(plan.axes[0].values[1].number == 20);
  CHECK(plan.axes[1].values[1].number == 1);
  CHECK(plan.axes[1].distribution == Distribution::log_uniform);
  CHECK(plan.axes[3].values[0].text == "true");
  CHECK(plan.set == std::vector<std::string>{"grid.fine_mm=0.3", "mode.*.activation_s=1.5"});
  CHECK(plan.seed == 5);
  CHECK(plan.designs[0].axes == std::vector<std::size_t>{0, 1});
}

TEST_CASE("the plan chooses and orders the modes", "[plan]") {
  const Plan plan = sample_plan_with(grid_design);
  REQUIRE(plan.base.modes.size() == 2);
  CHECK(plan.base.modes[0].name == "interrupted");
  CHECK(plan.base.modes[1].name == "continuous");
  const Case c = plan_case(plan, {"mode.*.source.setting_W=12", "mode.half.activation_s=9"});
  REQUIRE(c.modes.size() == 2);
  CHECK(c.modes[0].source.setting == 12);
  CHECK(c.modes[0].activation == 1.5);
  CHECK(c.grading.fine == Approx(0.3e-3));
}

TEST_CASE("an axis knows its value in the base case", "[plan]") {
  const Plan plan = sample_plan_with(grid_design);
  CHECK(plan.axes[0].base == 20);
  CHECK(plan.axes[1].base == 0.55);  // the key's default
  const Plan uneven = sample_plan_with(
      grid_design, replaced(sample_plan, "\"mode.*.activation_s\" = 1.5", "\"mode.0.source.setting_W\" = 7"));
  CHECK(std::isnan(uneven.axes[0].base));
}

TEST_CASE("what is written beside the numbers does not change what decides them", "[plan]") {
  const Plan plan = sample_plan_with(grid_design);
  CHECK(sample_plan_with("# a comment\n" + grid_design).canonical == plan.canonical);
  CHECK(sample_plan_with(grid_design + "[analysis]\nmap = [\"contact\", \"setting\"]\n").canonical == plan.canonical);
  CHECK(sample_plan_with(grid_design, replaced(sample_plan, "seed = 5", "seed = 6")).canonical != plan.canonical);
  CHECK(sample_plan_with(grid_design, replaced(sample_plan, "high = 40", "high = 41")).canonical != plan.canonical);
  CHECK(sample_plan_with(grid_design, replaced(sample_plan, "= 1.5", "= 1.6")).canonical != plan.canonical);
}

TEST_CASE("units of columns come from their names", "[plan]") {
  CHECK(unit_of_name("depth_mm.coagulation") == "mm");
  CHECK(unit_of_name("x.volume_mm3.desiccation") == "mm3");
  CHECK(unit_of_name("x.resistance_ohm.start") == "ohm");
  CHECK(unit_of_name("x.delivered_J") == "J");
  CHECK(unit_of_name("spark_S_m2") == "S/m2");
  CHECK(unit_of_name("x.steps") == "1");
  CHECK(unit_of_name("half_width") == "1");
}

TEST_CASE("unknown keys and axes are refused with the nearest name", "[plan]") {
  refused(plan_refusal("seed = 5", "sed = 5"), {"plan.toml:2:1", "unknown key 'sed'", "did you mean 'seed'"});
  refused(plan_refusal("mode = 20", "mod = 20"), {"plan.toml:17:1", "did you mean 'mode'"});
  refused(plan_refusal("", "", replaced(grid_design, "\"contact\"", "\"contct\"")),
          {"plan.toml:25:8", "'contct', which is no axis", "did you mean 'contact'"});
  refused(plan_refusal("interrupted", "interupted"), {"plan.toml:3:9", "did you mean 'interrupted'"});
  refused(plan_refusal("", "", replaced(grid_design, "\"grid\"", "\"gird\"")),
          {"plan.toml:24:8", "did you mean 'grid'"});
}

TEST_CASE("an axis over a key that does not exist is refused where it stands", "[plan]") {
  refused(plan_refusal("electrode.contact_fraction", "electrode.contact_fracton"),
          {"plan.toml:10:", "axis.contact cannot be set", "did you mean 'contact_fraction'"});
  refused(plan_refusal("range = { from = 10, to = 30", "range = { from = -10, to = 30"),
          {"plan.toml:7:", "axis.setting", "out of range"});
  refused(plan_refusal("physics.spark_S_m2", "mode.half.activation_s"), {"axis.spark", "changes nothing"});  // not run
}

TEST_CASE("an axis that changes nothing is refused", "[plan]") {
  refused(plan_refusal("list = [true, false]", "list = [true, true]"), {"axis.eschar", "changes nothing"});
}

TEST_CASE("what a run sets is checked with the plan's place", "[plan]") {
  refused(plan_refusal("grid.fine_mm = 0.3", "grid.fin_mm = 0.3"), {"plan.toml:5:", "did you mean 'fine_mm'"});
}

TEST_CASE("values of an axis", "[plan]") {
  refused(plan_refusal("log_range = { from = 0.1", "log_range = { from = 0"), {"plan.toml:12:13", "zero or below"});
  refused(plan_refusal("range = { from = 10, to = 30", "range = { from = 30, to = 30"), {"is empty", "from below to"});
  refused(plan_refusal("points = 3", "points = 1"), {"out of range"});
  refused(plan_refusal("list = [true, false]\n", ""), {"axis.eschar", "has no values"});
  refused(plan_refusal("list = [true, false]", "list = [true]\nrange = { from = 1, to = 2, points = 2 }"), {"twice"});
  refused(plan_refusal("mode = 20", "mode = 50"), {"plan.toml:17:8", "outside low and high"});
  refused(plan_refusal("mode = 20\n", ""), {"axis.spark.mode", "missing"});
  refused(plan_refusal("low = 10", "low = 100"), {"axis.spark"});
  refused(plan_refusal("list = [true, false]", "list = [true, false]\nlow = 3"), {"has no use"});
  refused(plan_refusal("triangular", "normal"), {"axis.spark"});
}

TEST_CASE("designs and what they need", "[plan]") {
  const auto with = [](const std::string& text) { return plan_refusal("", "", "[[design]]\nname = \"d\"\n" + text); };
  refused(with("kind = \"grid\"\n"), {"grid over 'spark'", "list, range or log_range"});
  refused(with("kind = \"sobol\"\n"), {"design.0.points", "missing"});
  refused(with("kind = \"one_at_a_time\"\npoints = 4\n"), {"has no use"});
  refused(with("kind = \"sobol\"\npoints = 4\naxes = [\"setting\", \"setting\"]\n"), {"twice"});
  refused(with("kind = \"sobol\"\npoints = 0\n"), {"out of range"});
  refused(with("kind = \"one_at_a_time\"\nhold = { seting = 3 }\n"), {"plan.toml:25:8", "did you mean 'setting'"});
  refused(with("kind = \"one_at_a_time\"\naxes = [\"setting\"]\nhold = { setting = 3 }\n"),
          {"holds an axis that the design moves"});
  refused(plan_refusal("", "", grid_design + grid_design), {"design.1.name", "taken"});
  refused(plan_refusal("", "", ""), {"missing design"});
  refused(plan_refusal("", "constraints = [\"setting < 20\"]\n",
                       "[[design]]\nname = \"d\"\nkind = \"saltelli\"\npoints = 2\n"),
          {"constraints"});
}

TEST_CASE("constraints are refused with their place", "[plan]") {
  refused(plan_refusal("", "constraints = [\"setting < 20\", \"seting < 20\"]\n"),
          {"plan.toml:1:32", "'seting'", "did you mean 'setting'"});
  refused(plan_refusal("", "constraints = [\"setting\"]\n"), {"compares nothing"});
  refused(plan_refusal("", "constraints = [\"setting <\"]\n"), {"lacks an axis or a number"});
  refused(plan_refusal("", "constraints = [\"eschar == 1\"]\n"), {"no number"});
}

TEST_CASE("kept points", "[plan]") {
  CHECK(sample_plan_with(grid_design, "keep = \"all\"\n" + sample_plan).keep == KeepFields::all);
  const Plan listed = sample_plan_with(grid_design, "keep = [3, 0]\n" + sample_plan);
  CHECK(listed.keep == KeepFields::listed);
  CHECK(listed.kept == std::vector<std::int64_t>{0, 3});
  refused(plan_refusal("", "keep = \"some\"\n"), {"plan.toml:1:8", "none"});
  refused(plan_refusal("", "keep = [-1]\n"), {"keep", "is not understood"});
}

TEST_CASE("a base case that cannot be read or is wrong", "[plan]") {
  ScratchDirectory scratch("plan");
  CHECK_THROWS_WITH(parse_plan(sample_plan + grid_design, scratch.path() / "plan.toml", sample_tissues),
                    Catch::Contains("plan.toml:1:8") && Catch::Contains("cannot be read"));
  const std::string bad = replaced(sample_plan_case, "radius_mm = 3", "radius_cm = 3");
  CHECK_THROWS_WITH(parse_plan(sample_plan + grid_design, "folder/plan.toml", sample_tissues, &bad),
                    Catch::Contains("case.toml:8:1"));
}
