#include "studies/sweep/design.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <set>

#include "plan_sample.hpp"
#include "studies/sweep/journal.hpp"

using namespace dryfront;

namespace {

std::string design(const std::string& kind, int points = 0, const std::string& axes = "") {
  return "[[design]]\nname = \"only\"\nkind = \"" + kind + "\"\n" +
         (points > 0 ? "points = " + std::to_string(points) + "\n" : "") +
         (axes.empty() ? "" : "axes = " + axes + "\n");
}

PlanAxis axis_of(Distribution distribution, double low, double high) {
  PlanAxis axis;
  axis.distribution = distribution;
  axis.low = low;
  axis.high = high;
  return axis;
}

}  // namespace

TEST_CASE("a permutation hits every place once, whatever the count", "[design]") {
  for (const std::uint64_t count : {1u, 2u, 3u, 7u, 64u, 1000u, 4097u}) {
    std::set<std::uint64_t> hit;
    for (std::uint64_t k = 0; k < count; ++k) {
      const std::uint64_t place = permuted(k, count, 11);
      CHECK(place < count);
      hit.insert(place);
    }
    CHECK(hit.size() == count);
  }
}

TEST_CASE("different keys permute differently", "[design]") {
  int same = 0;
  for (std::uint64_t k = 0; k < 1000; ++k) same += permuted(k, 1000, 1) == permuted(k, 1000, 2) ? 1 : 0;
  CHECK(same < 20);  // one is expected by chance
}

TEST_CASE("quantiles of the distributions against their closed forms", "[design]") {
  CHECK(quantile(axis_of(Distribution::uniform, 2, 6), 0.25).number == Approx(3));
  CHECK(quantile(axis_of(Distribution::log_uniform, 1e-9, 1e-7), 0.5).number == Approx(1e-8));

  PlanAxis triangular = axis_of(Distribution::triangular, 0, 4);
  triangular.mode = 1;
  CHECK(quantile(triangular, 0.25).number == Approx(1));                   // (mode - low) / (high - low) lies below
  CHECK(quantile(triangular, 0.0625).number == Approx(0.5));               // x^2 / 4 = share
  CHECK(quantile(triangular, 0.75).number == Approx(4 - std::sqrt(3.0)));  // 1 - (4 - x)^2 / 12 = share

  PlanAxis normal;
  normal.distribution = Distribution::normal;
  normal.mean = 10;
  normal.deviation = 2;
  CHECK(quantile(normal, 0.5).number == Approx(10));
  CHECK(quantile(normal, 0.975).number == Approx(10 + 2 * 1.959963984540054));  // standard normal table
  normal.low = 10;  // half of it: the median becomes the 75 % point
  CHECK(quantile(normal, 0.5).number == Approx(10 + 2 * 0.6744897501960817));

  PlanAxis list;
  list.values = {{"a", 1}, {"b", 2}, {"c", 3}};
  CHECK(quantile(list, 0.3).text == "a");
  CHECK(quantile(list, 0.34).text == "b");
  CHECK(quantile(list, 0.999).text == "c");
}

TEST_CASE("a grid takes every combination, the last axis fastest", "[design]") {
  const Plan plan = sample_plan_with(design("grid", 0, R"(["setting", "contact"])"));
  PlanPoints points(plan);
  REQUIRE(points.size() == 6);
  CHECK(points.at(0)[0].number == 10);
  CHECK(points.at(0)[1].number == 0.1);
  CHECK(points.at(1)[0].number == 10);
  CHECK(points.at(1)[1].number == 1);
  CHECK(points.at(5)[0].number == 30);
  CHECK(points.at(5)[2].text.empty());  // not among the design's axes
  CHECK(overrides_of(plan, points.at(1)) ==
        std::vector<std::string>{"mode.*.source.setting_W=10", "electrode.contact_fraction=1"});
}

TEST_CASE("a Latin hypercube hits every slice of every axis once", "[design]") {
  const Plan plan = sample_plan_with(design("latin_hypercube", 50, R"(["setting", "contact"])"));
  PlanPoints points(plan);
  std::set<int> setting, contact;
  double product = 0;  // of the distances from the middles, which shows whether the axes go together
  for (std::uint64_t k = 0; k < 50; ++k) {
    const std::vector<AxisSetting> settings = points.at(k);
    product += ((settings[0].number - 10) / 20 - 0.5) * (std::log10(settings[1].number) + 0.5);
    setting.insert(static_cast<int>((settings[0].number - 10) / 20 * 50));
    contact.insert(static_cast<int>((std::log10(settings[1].number) + 1) * 50));
  }
  CHECK(setting.size() == 50);
  CHECK(contact.size() == 50);
  CHECK(std::abs(product / 50) <
        3.0 / 12 / std::sqrt(50.0));  // of two independent axes: 1/12 over the root of the points
  CHECK(*setting.begin() == 0);
  CHECK(*setting.rbegin() == 49);
}

TEST_CASE("2^m shifted Sobol points put one in every interval of each axis and fill boxes evenly", "[design]") {
  const Plan plan = sample_plan_with(design("sobol", 64, R"(["setting", "contact"])"));
  PlanPoints points(plan);
  // The library leaves out the very first point of the sequence, so one of the 64 has its partner missing.
  std::set<int> setting;
  std::vector<int> box(16);
  for (std::uint64_t k = 0; k < 64; ++k) {
    const std::vector<AxisSetting> settings = points.at(k);
    const double x = (settings[0].number - 10) / 20, y = std::log10(settings[1].number) + 1;
    setting.insert(static_cast<int>(x * 64));
    ++box[static_cast<std::size_t>(static_cast<int>(4 * x) * 4 + static_cast<int>(4 * y))];
  }
  CHECK(setting.size() >= 63);
  CHECK(*std::min_element(box.begin(), box.end()) >= 3);  // a net has 4 in each; chance would leave some with 0 or 1
  CHECK(*std::max_element(box.begin(), box.end()) <= 5);
}

TEST_CASE("a point does not depend on which others were asked for", "[design]") {
  for (const char* kind : {"latin_hypercube", "sobol", "saltelli"}) {
    const Plan plan = sample_plan_with(design(kind, 40));
    PlanPoints forward(plan), backward(plan);
    std::vector<std::vector<AxisSetting>> first;
    for (std::uint64_t k = 0; k < forward.size(); ++k) first.push_back(forward.at(k));
    for (std::uint64_t k = backward.size(); k-- > 0;) {
      const std::vector<AxisSetting> again = backward.at(k);
      for (std::size_t axis = 0; axis < again.size(); ++axis) REQUIRE(again[axis].text == first[k][axis].text);
    }
  }
}

TEST_CASE("a saltelli design mixes A and B one axis at a time", "[design]") {
  const Plan plan = sample_plan_with(design("saltelli", 4));
  PlanPoints points(plan);
  REQUIRE(points.size() == 4 * (4 + 2));
  for (std::uint64_t base = 0; base < 4; ++base) {
    const auto a = points.at(base * 6), b = points.at(base * 6 + 1);
    for (std::size_t moved = 0; moved < 4; ++moved) {
      const auto mixed = points.at(base * 6 + 2 + moved);
      for (std::size_t k = 0; k < 4; ++k) CHECK(mixed[k].text == (k == moved ? b : a)[k].text);
    }
  }
}

TEST_CASE("one axis at a time: the base case, then the ends", "[design]") {
  const Plan plan = sample_plan_with(design("one_at_a_time"));
  PlanPoints points(plan);
  REQUIRE(points.size() == 1 + 4 * 2);
  CHECK(overrides_of(plan, points.at(0)).empty());
  CHECK(overrides_of(plan, points.at(5)) == std::vector<std::string>{"physics.spark_S_m2=10"});
  CHECK(overrides_of(plan, points.at(6)) == std::vector<std::string>{"physics.spark_S_m2=40"});
  CHECK(points.design(0).moved_axis(6) == 2);
  CHECK(points.design(0).moved_axis(0) == -1);
}

TEST_CASE("a held axis stays at its value and is not moved", "[design]") {
  const Plan plan = sample_plan_with(design("one_at_a_time") + "hold = { spark = 33, eschar = false }\n");
  PlanPoints points(plan);
  REQUIRE(points.size() == 1 + 2 * 2);
  CHECK(overrides_of(plan, points.at(1)) ==
        std::vector<std::string>{"mode.*.source.setting_W=10", "physics.spark_S_m2=33", "physics.eschar=false"});
}

TEST_CASE("another seed draws other points, the same seed the same", "[design]") {
  const auto drawn = [](int seed) {
    std::string head = sample_plan;
    head.replace(head.find("seed = 5"), 8, "seed = " + std::to_string(seed));
    const Plan plan = sample_plan_with(design("sobol", 8), head);
    return PlanPoints(plan).at(3)[0].number;
  };
  CHECK(drawn(5) == drawn(5));
  CHECK(drawn(5) != drawn(6));
}

TEST_CASE("constraints leave points out and renumber nothing", "[design]") {
  const auto counted = [](const std::string& constraint) {
    std::string head = sample_plan;
    head.insert(0, "constraints = [\"" + constraint + "\"]\n");
    const Plan plan = sample_plan_with(design("grid", 0, R"(["setting", "contact"])"), head);
    PlanPoints points(plan);
    int kept = 0;
    for (std::uint64_t k = 0; k < points.size(); ++k) kept += points.excluded(k) ? 0 : 1;
    return kept;
  };
  CHECK(counted("setting < 20") == 2);
  CHECK(counted("setting <= 20") == 4);
  CHECK(counted("setting * contact > 2.5") == 4);  // all but 10 x 0.1 and 20 x 0.1
  CHECK(counted("contact - 0.5 >= 0") == 3);
  CHECK(counted("setting != 10") == 4);
  CHECK(counted("10 == setting") == 2);
  CHECK(counted("contact > spark") == 0);  // an axis the design leaves alone has its value of the base case, 20
}

TEST_CASE("shards part the points evenly, without overlap, and mix the values of an axis", "[design]") {
  constexpr std::uint32_t count = 8;
  std::vector<int> size(count), first_residue(count);
  for (std::uint64_t point = 0; point < 8000; ++point) {
    const std::uint32_t shard = shard_of(point, count);
    REQUIRE((shard >= 1 && shard <= count));
    ++size[shard - 1];
    if (point % count == 0) ++first_residue[shard - 1];  // an axis of eight values runs fastest: its first value
  }
  for (std::uint32_t k = 0; k < count; ++k) {
    CHECK(size[k] == 1000);
    CHECK(first_residue[k] > 80);  // 125 are expected
    CHECK(first_residue[k] < 170);
  }
}
