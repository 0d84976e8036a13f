#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "files/case/case_error.hpp"
#include "report/interval_text.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"
#include "studies/interval/runs.hpp"
#include "studies/interval/statistics.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;

namespace {

// Mild and coarse: the depth rises with the setting, and the waveform does not matter.
Case mild_case() {
  Case c = small_case();
  c.grading = {3e-4, 1.4, 4e-3};
  c.time.tolerance = 4;
  c.output.frames = 1;
  c.effects = {{"warm", EffectKind::temperature, 0, 40}};
  for (Mode& mode : c.modes) {
    mode.source.setting = 10;
    mode.source.peak_limit = 0;
  }
  return c;
}

AssumedRanges two_ranges(double low, double high) {
  AssumedRanges ranges;
  for (const char* key : {"setting", "nothing"}) {
    PlanAxis axis;
    axis.name = key;
    axis.keys = {key};
    axis.distribution = Distribution::uniform;
    axis.low = low;
    axis.high = high;
    axis.base = 1;
    ranges.axes.push_back(axis);
  }
  return ranges;
}

double factor_in(const std::vector<std::string>& overrides) {
  REQUIRE(overrides.size() == 2);
  return std::stod(overrides.front().substr(std::string("setting=").size()));
}

Case with_setting(double factor) {
  Case c = mild_case();
  for (Mode& mode : c.modes) mode.source.setting *= factor;
  return c;
}

double depth_with(double factor) {
  const Case c = with_setting(factor);
  return run(c, case_grid(c), {}, 1)[0].effects[0].depth * 1e3;
}

}  // namespace

TEST_CASE("interval: the ranks that enclose a quantile") {
  // The median of ten: ranks 2 and 9, with 97.9 % (binomial sums 1/1024, 11/1024, 56/1024).
  const EnclosingRanks median = enclosing_ranks(10, 0.5, 0.95);
  CHECK(median.lower == 2);
  CHECK(median.upper == 9);
  // 0.95^48 = 0.085 and 0.95^24 = 0.29: the least of 48 bounds the 5 % quantile with a tail of a tenth, that of 24 does
  // not.
  CHECK(enclosing_ranks(48, 0.05, 0.8).lower == 1);
  CHECK(enclosing_ranks(24, 0.05, 0.8).lower == 0);
  CHECK(enclosing_ranks(48, 0.95, 0.8).upper == 48);
  CHECK(enclosing_ranks(24, 0.95, 0.8).upper == 25);
}

TEST_CASE("interval: a quantile between infinite values is infinite") {
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<double> values{1, 2, infinity, infinity};
  CHECK(std::isinf(quantile_estimate(values, 0.95, 0.8).value));
  CHECK(quantile_estimate(values, 1.0 / 6, 0.8).value == Approx(1.5));
}

TEST_CASE("interval: rank correlation") {
  const std::vector<double> rising{1, 2, 3, 4, 5}, cubes{1, 8, 27, 64, 125}, falling{5, 4, 3, 2, 1}, flat(5, 1.0);
  CHECK(rank_correlation(rising, cubes) == Approx(1));
  CHECK(rank_correlation(rising, falling) == Approx(-1));
  CHECK(rank_correlation(rising, flat) == 0);
  CHECK(rank_correlation(rising, std::vector<double>{2, 1, 4, 3, 5}) == Approx(0.8));  // 1 - 6 * 4 / (5 * 24)
  // Ties at their mean rank: Pearson of (0, 1.5, 1.5, 3) with (0, 1, 2, 3).
  CHECK(rank_correlation(std::vector<double>{1, 2, 2, 3}, std::vector<double>{1, 2, 3, 4}) ==
        Approx(4.5 / std::sqrt(4.5 * 5)));
  // Two-sided 5 % point of the normal distribution, 1.960, over sqrt(48 - 1).
  CHECK(notable_correlation(48, 1) == Approx(1.959964 / std::sqrt(47)).epsilon(1e-6));
  CHECK(notable_correlation(48, 24) > notable_correlation(48, 1));
  CHECK(notable_correlation(3, 1) == 1);
}

TEST_CASE("interval: one number that decides, one that does not") {
  const auto drawn = [](const std::vector<std::string>& overrides) { return with_setting(factor_in(overrides)); };
  const IntervalAnswer answer = depth_interval(mild_case(), two_ranges(0.5, 1.5), drawn, 20, {1});
  REQUIRE(answer.interval);
  const DepthInterval& interval = *answer.interval;
  CHECK(interval.failed == 0);
  CHECK(interval.effect == "warm");
  REQUIRE(interval.quantities.size() == 4);
  const IntervalQuantity& depth = interval.quantities[0];
  CHECK(depth.name == "depth_mm.continuous");
  CHECK(depth.counted == 20);
  CHECK(depth.here == Approx(depth_with(1)).epsilon(1e-14));
  CHECK(depth.correlation[0] == Approx(1));
  CHECK(std::abs(depth.correlation[1]) < interval.notable_correlation);
  CHECK(depth.foremost == 0);
  // Each of the twenty slices is hit once, and the depth rises with the setting: the quantiles lie in the outer two
  // slices.
  CHECK(depth.low.value >= depth_with(0.5));
  CHECK(depth.low.value <= depth_with(0.6));
  CHECK(depth.high.value >= depth_with(1.4));
  CHECK(depth.high.value <= depth_with(1.5));
  // Before anything strikes the two waveforms are the same problem.
  const IntervalQuantity& ratio = interval.quantities[2];
  CHECK(ratio.name == "depth_ratio");
  CHECK(ratio.low.value == 1);
  CHECK(ratio.high.value == 1);
  CHECK(interval.quantities[3].greatest == 0);
  CHECK(interval.first_deeper == 0);

  const IntervalAnswer again = depth_interval(mild_case(), two_ranges(0.5, 1.5), drawn, 20, {3});
  CHECK(interval_json(again) == interval_json(answer));

  const std::string text = interval_text(answer);
  CHECK_THAT(text, Contains("setting (+1.00)"));
  CHECK_THAT(text, Contains("no single number stands out"));
  CHECK_THAT(text, Contains("The range is that of the model"));
}

TEST_CASE("interval: runs without a result are counted, and too many of them leave no interval") {
  const auto refusing_above = [](double limit) {
    return [limit](const std::vector<std::string>& overrides) {
      const double factor = factor_in(overrides);
      if (factor > limit) throw CaseError({"", "too high", "", "", ""});
      return with_setting(factor);
    };
  };
  const IntervalAnswer some = depth_interval(mild_case(), two_ranges(0.5, 1.5), refusing_above(1.3), 10, {2});
  REQUIRE(some.interval);
  CHECK(some.interval->failed == 2);
  CHECK(some.interval->quantities[0].counted == 8);
  CHECK_THAT(interval_text(some), Contains("2 of the 10 runs have no result") && Contains("too high"));
  CHECK(interval_json(some)["failed"] == 2);

  const IntervalAnswer none = depth_interval(mild_case(), two_ranges(0.5, 1.5), refusing_above(0.8), 10, {2});
  CHECK_FALSE(none.interval);
  CHECK_THAT(none.reason, Contains("7 of 10 runs have no result") && Contains("too high"));
  CHECK(interval_json(none)["computed"] == false);
  CHECK_THAT(interval_text(none), Contains("No interval was computed"));
}

TEST_CASE("interval: stopped, and not asked for") {
  const std::atomic<bool> stop = true;
  const auto drawn = [](const std::vector<std::string>& overrides) { return with_setting(factor_in(overrides)); };
  CHECK(depth_interval(mild_case(), two_ranges(0.5, 1.5), drawn, 8, {1, &stop}).reason == "interrupted");
  CHECK_THAT(interval_text({}), Contains("No interval was computed") && Contains("not asked for"));
}

TEST_CASE("interval: a depth beside its range is told") {
  const auto drawn = [](const std::vector<std::string>& overrides) { return with_setting(factor_in(overrides)); };
  Case here = mild_case();
  for (Mode& mode : here.modes) mode.source.setting *= 3;
  const IntervalAnswer answer = depth_interval(here, two_ranges(0.5, 1.5), drawn, 8, {2});
  CHECK_THAT(interval_text(answer), Contains("outside its range: continuous, gated"));
}
