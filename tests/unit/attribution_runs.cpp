#include "studies/attribution/runs.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "files/case/case_error.hpp"
#include "report/attribution.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"

using namespace dryfront;

namespace {

constexpr int threads = 2;

Attribution attribution_between(const Case& c, double wanted_depth = 0, int on_threads = threads) {
  AttributionWork work;
  work.threads = on_threads;
  return attribution_of(c, coalition_runs(c, c.modes[0], c.modes[1], work), wanted_depth);
}

// Shorter than the small case and coarser; the setting lets the contact boil, strike and eschar within the activation.
Case rough_case() {
  Case c = small_case();
  c.grading = {3e-4, 1.4, 4e-3};
  c.time.tolerance = 4;
  c.output.frames = 1;
  for (Mode& mode : c.modes) mode.source.peak_limit = 0;
  return c;
}

// So mild that nothing boils and nothing strikes.
Case calm_case() {
  Case c = rough_case();
  c.effects = {{"warm", EffectKind::temperature, 0, 30}};
  for (Mode& mode : c.modes) mode.source.setting = 3;
  return c;
}

double share_of(const Attribution& attribution, std::size_t quantity, Mechanism mechanism) {
  const auto& players = attribution.runs.players;
  for (std::size_t k = 0; k < players.size(); ++k) {
    if (players[k] == mechanism) return attribution.quantities[quantity].shares[k].share;
  }
  FAIL("the mechanism does not play");
  return 0;
}

void check_sums(const Attribution& attribution) {
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    double sum = 0, scale = std::max(std::abs(q.first), std::abs(q.second));
    for (const PlayerShare& share : q.shares) {
      sum += share.share;
      scale = std::max(scale, std::abs(share.share));
    }
    INFO(q.name << ": " << q.first << " and " << q.second);
    CHECK(std::abs(sum - q.difference()) <= 1e-12 * scale);
    CHECK(std::abs(q.left_over) <= 1e-12 * scale);
  }
}

}  // namespace

TEST_CASE("attribution: shares add up, and with everything off the modes are the same problem") {
  Case c = rough_case();
  c.modes[1].source.kind = SourceKind::unregulated;
  // Limits that bind, since they are what the crest factor acts through beside the mechanisms.
  c.modes[0].source.peak_limit = 150;
  c.modes[1].source.peak_limit = 900;
  const Attribution attribution = attribution_between(c);
  REQUIRE(attribution.runs.players.size() == 5);
  REQUIRE(attribution.quantities[0].name == "depth_mm.coagulation");
  CHECK(attribution.quantities[0].difference() != 0);
  CHECK(attribution.runs.run.size() == 36);  // 12 and 24 of 16 and 32: a eschar needs sparks
  check_sums(attribution);
}

TEST_CASE("attribution: the full coalition is the case itself") {
  const Case c = rough_case();
  const Attribution attribution = attribution_between(c);
  const auto records = run(c, case_grid(c), {}, 1);
  const AttributedQuantity& depth = attribution.quantities[0];
  CHECK(depth.first == records[0].effects[0].depth / 1e-3);  // to the last bit, hence the same arithmetic
  CHECK(depth.second == records[1].effects[0].depth / 1e-3);
}

TEST_CASE("attribution: modes that are alike differ by nothing and share nothing") {
  Case c = rough_case();
  c.modes[1] = c.modes[0];
  c.modes[1].name = "the same";
  CHECK(alike(c.modes[0], c.modes[1]));
  for (const AttributedQuantity& q : attribution_between(c).quantities) {
    CHECK(q.difference() == 0);
    for (const PlayerShare& share : q.shares) {
      CHECK(share.share == 0);
      CHECK(share.least == 0);
      CHECK(share.greatest == 0);
    }
  }
}

TEST_CASE("attribution: where only the source differs and nothing strikes, all belongs to the source") {
  Case c = calm_case();
  c.modes[1].waveform = c.modes[0].waveform;
  c.modes[1].source.kind = SourceKind::unregulated;
  c.modes[1].source.rated_load = 800;
  const Attribution attribution = attribution_between(c);
  const AttributedQuantity& depth = attribution.quantities[0];
  CHECK(depth.difference() > 0.05);
  CHECK(share_of(attribution, 0, Mechanism::source) == Approx(depth.difference()).epsilon(1e-12));
  for (const Mechanism other : {Mechanism::arcing, Mechanism::eschar, Mechanism::breakdown, Mechanism::moisture}) {
    CHECK(std::abs(share_of(attribution, 0, other)) < 1e-12);
  }
}

TEST_CASE("attribution: where only the source differs, no other mechanism adds anything without it") {
  Case c = rough_case();
  c.modes[1].waveform = c.modes[0].waveform;
  c.modes[1].source.kind = SourceKind::unregulated;
  const Attribution attribution = attribution_between(c);
  const CoalitionRuns& runs = attribution.runs;
  for (Coalition s = 0; s <= runs.all(); ++s) {
    if ((s & 1U) == 0) CHECK(runs.first(s).effects[0].depth == runs.second(s).effects[0].depth);
  }
  check_sums(attribution);
}

TEST_CASE("attribution: where only the crest factor differs, the source gets nothing") {
  const Attribution attribution = attribution_between(rough_case());
  bool differ = false;
  for (std::size_t q = 0; q < attribution.quantities.size(); ++q) {
    if (!attribution.quantities[q].no_value.empty()) continue;
    differ = differ || attribution.quantities[q].difference() != 0;
    CHECK(share_of(attribution, q, Mechanism::source) == 0);
  }
  CHECK(differ);
}

TEST_CASE("attribution: where only the activation differs and nothing strikes, all belongs to the activation") {
  Case c = calm_case();
  c.modes[1].waveform = c.modes[0].waveform;
  c.modes[1].activation = 1;
  const Attribution attribution = attribution_between(c);
  REQUIRE(attribution.runs.players.back() == Mechanism::activation);
  CHECK(attribution.quantities[0].difference() > 0.05);
  CHECK(share_of(attribution, 0, Mechanism::activation) ==
        Approx(attribution.quantities[0].difference()).epsilon(1e-12));
}

TEST_CASE("attribution: a mechanism that is off in the case does not play and is reported as zero") {
  Case c = rough_case();
  c.physics.arcing = c.physics.moisture = false;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.runs.players == std::vector{Mechanism::source, Mechanism::eschar, Mechanism::breakdown});
  const auto json = attribution_json(attribution, {});
  for (const auto& quantity : json["quantities"]) {
    if (quantity.contains("no_value")) continue;
    for (const char* off : {"arcing", "re-wetting"}) {
      CHECK(quantity["mechanisms"][off]["plays"] == false);
      CHECK(quantity["mechanisms"][off]["share"] == 0.0);
    }
    // No eschar without sparks.
    CHECK(quantity["mechanisms"]["eschar"]["share"] == 0.0);
  }
  CHECK(json["sentences"]["arcing"].get<std::string>().find("switched off") != std::string::npos);
}

TEST_CASE("attribution: the same bits on one thread and on three") {
  const Case c = rough_case();
  CHECK(attribution_csv(attribution_between(c, 0, 1)) == attribution_csv(attribution_between(c, 0, 3)));
}

TEST_CASE("attribution: what is shared between coalitions is what each would compute") {
  const Case c = rough_case();
  AttributionWork work;
  work.threads = threads;
  const CoalitionRuns runs = coalition_runs(c, c.modes[0], c.modes[1], work);
  const Grid grid = case_grid(c);
  for (const Coalition s : {Coalition{0}, Coalition{4}, Coalition{5}, Coalition{20}, Coalition{30}}) {
    for (const bool is_second : {false, true}) {
      const Case alone = coalition_case(c, c.modes[0], c.modes[1], runs.players, s, is_second);
      const ModeRecord computed = run(alone, grid, {}, 1).front();
      const ModeRecord& shared = is_second ? runs.second(s) : runs.first(s);
      CHECK(computed.effects[0].depth == shared.effects[0].depth);
      CHECK(computed.delivered == shared.delivered);
      CHECK(computed.name == shared.name);
    }
  }
}

TEST_CASE("attribution: a source is lent with its rms limit") {
  Case c = rough_case();
  c.modes[0].source.peak_limit = 500;
  const Source lent = lent_source(c.modes[0], c.modes[1]);
  const double crest = crest_factor(c.modes[1].waveform);
  CHECK(source_voltage(lent, 1e6, crest) ==
        Approx(source_voltage(c.modes[0].source, 1e6, std::sqrt(2.0))).epsilon(1e-14));
  CHECK(lent.peak_limit == Approx(500 * crest / std::sqrt(2.0)).epsilon(1e-14));
}

TEST_CASE("attribution: the time to a depth is read between the rows of the trace") {
  ModeRecord record;
  record.trace.time = {0, 1, 2, 4};
  record.trace.greatest_depth = {{0, 0, 1e-3, 3e-3}};
  CHECK(time_to_depth(record, 0, 0.5e-3) == Approx(1.5));
  CHECK(time_to_depth(record, 0, 2e-3) == Approx(3));
  CHECK(time_to_depth(record, 0, 3e-3) == Approx(4));
  CHECK(std::isnan(time_to_depth(record, 0, 4e-3)));
}

TEST_CASE("attribution: a depth that is not reached is refused") {
  const Case c = rough_case();
  CHECK_THROWS_AS(attribution_between(c, 0.025), CaseError);
}

TEST_CASE("attribution: which modes are set against each other") {
  Case c = rough_case();
  c.modes.insert(c.modes.begin(), small_mode("half", 0.5, 2));
  CHECK(case_of_two(c, "", "x").modes[0].name == "continuous");
  CHECK(case_of_two(c, "", "x").modes[1].name == "gated");
  CHECK(case_of_two(c, "half,continuous", "x").modes[0].name == "half");
  for (const char* wrong : {"half", "half,", "half,half", "half,gated,continuous", "half,gatde", ","}) {
    CHECK_THROWS_AS(case_of_two(c, wrong, "x"), CaseError);
  }
  // Equal crest factors: the first one that differs.
  Case equal = rough_case();
  equal.modes = {small_mode("a", 1, 2), small_mode("b", 1, 2), small_mode("c", 1, 3)};
  CHECK(case_of_two(equal, "", "x").modes[1].name == "c");
  equal.modes.pop_back();
  CHECK_THROWS_AS(case_of_two(equal, "", "x"), CaseError);
  equal.modes.pop_back();
  CHECK_THROWS_AS(case_of_two(equal, "", "x"), CaseError);
}
