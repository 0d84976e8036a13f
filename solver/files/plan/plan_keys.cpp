#include "files/plan/plan_keys.hpp"

#include "files/case/key_builders.hpp"

namespace dryfront {

namespace {

constexpr double any = std::numeric_limits<double>::infinity();
constexpr double most_points = 1e8;
constexpr double most_seed = 2147483647;

template <class Object>
Key<Object> texts(std::string name, std::vector<std::string> Object::*member, std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::texts, "", std::move(meaning));
  built.member = member;
  return built;
}

}  // namespace

const Keys<Plan>& plan_keys() {
  static const Keys<Plan> keys{
      text("title", &Plan::title, "shown on every result"),
      text("question", &Plan::question, "what the sweep is to answer"),
      required(key<Plan>("case", KeyKind::text, "", "the base case's file, from the plan's folder")),
      integer("seed", &Plan::seed, from(0, most_seed), "where the drawn designs start from"),
      key<Plan>("set", KeyKind::table, "", "keys of the case that every run sets: grid.fine_mm = 0.1"),
      texts("modes", &Plan::modes, "the modes that are run, in the order they are compared"),
      key<Plan>("keep", KeyKind::texts, "", "\"none\", \"all\", or the numbers of the points whose run file is kept"),
      key<Plan>("constraints", KeyKind::texts, "", "conditions on the axes: \"setting * duty <= 30\""),
      required(key<Plan>("axis", KeyKind::table, "", "what is varied, one table [axis.NAME] each")),
      required(key<Plan>("design", KeyKind::tables, "", "sets of points, one table [[design]] each")),
      key<Plan>("analysis", KeyKind::table, "", "what the analysis looks at"),
  };
  return keys;
}

const Keys<PlanAxis>& axis_keys() {
  static const Keys<PlanAxis> keys{
      required(
          key<PlanAxis>("key", KeyKind::texts, "", "the key of the case, as of --set, or several that move alike")),
      key<PlanAxis>("list", KeyKind::numbers, "", "the values one by one: numbers, texts or flags"),
      key<PlanAxis>("range", KeyKind::table, "", "{ from, to, points }, equally spaced"),
      key<PlanAxis>("log_range", KeyKind::table, "", "{ from, to, points }, in equal ratios"),
      choice<&PlanAxis::distribution, PlanAxis>("distribution",
                                                "how a drawn design draws; none: from the values above"),
      number("low", "", &PlanAxis::low, from(-any, any), "least value drawn"),
      number("high", "", &PlanAxis::high, from(-any, any), "greatest value drawn"),
      number("mode", "", &PlanAxis::mode, from(-any, any), "most likely value (triangular)"),
      number("mean", "", &PlanAxis::mean, from(-any, any), "mean before the cut at low and high (normal)"),
      number("deviation", "", &PlanAxis::deviation, above(0, any), "standard deviation before the cut (normal)"),
  };
  return keys;
}

const Keys<AxisRange>& range_keys() {
  static const Keys<AxisRange> keys{
      required(number("from", "", &AxisRange::from, from(-any, any), "first value")),
      required(number("to", "", &AxisRange::to, from(-any, any), "last value")),
      required(integer("points", &AxisRange::points, from(2, 1e6), "how many")),
  };
  return keys;
}

const Keys<PlanDesign>& design_keys() {
  static const Keys<PlanDesign> keys{
      required(text("name", &PlanDesign::name, "letters, digits and _, a letter first")),
      required(choice<&PlanDesign::kind, PlanDesign>(
          "kind",
          "every combination; a drawn design; two drawn designs and their mixtures, for Sobol indices; each axis by "
          "itself")),
      key<PlanDesign>("axes", KeyKind::texts, "", "the axes it moves; all that it does not hold when not given"),
      key<PlanDesign>("hold", KeyKind::table, "", "{ axis = value, ... }: axes that stay at a value"),
      integer("points", &PlanDesign::points, from(1, most_points),
              "how many are drawn; saltelli: base points, each of which makes axes + 2 runs"),
  };
  return keys;
}

const Keys<PlanAnalysis>& analysis_keys() {
  static const Keys<PlanAnalysis> keys{
      texts("outputs", &PlanAnalysis::outputs, "columns of the table"),
      texts("map", &PlanAnalysis::map_axes, "two axes of a grid"),
  };
  return keys;
}

const std::vector<Section>& plan_sections() {
  const auto section = [](std::string path, std::string heading, std::string meaning, const auto& keys) {
    return Section{std::move(path), std::move(heading), std::move(meaning),
                   std::vector<KeyInfo>(keys.begin(), keys.end())};
  };
  static const std::vector<Section> all{
      section("", "(top of the file)", "Which case, which of its modes.", plan_keys()),
      section("set", "[set]", "Keys of the case that every run sets, as with --set.", std::vector<KeyInfo>()),
      section("axis", "[axis.NAME]", "What is varied: values one by one or as a range, or a distribution.",
              axis_keys()),
      section("design", "[[design]]", "A set of points.", design_keys()),
      section("analysis", "[analysis]", "What the analysis looks at.", analysis_keys()),
  };
  return all;
}

}  // namespace dryfront
