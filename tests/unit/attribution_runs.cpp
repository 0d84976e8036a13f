#include "studies/attribution/runs.hpp"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "files/case/case_error.hpp"
#include "report/attribution.hpp"
#include "report/sentences.hpp"
#include "simulation/run.hpp"
#include "small_case.hpp"
#include "studies/attribution/pair.hpp"
#include "studies/attribution/quantities.hpp"

using namespace dryfront;

namespace {

constexpr int threads = 2;

Attribution attribution_between(const Case& c, double wanted_depth = 0, int on_threads = threads) {
  ParallelRuns work;
  work.threads = on_threads;
  return attribution_of(c, attribution_runs(c, work), wanted_depth);
}

std::size_t switched_on(const Physics& physics) {
  std::size_t count = 0;
  for (const Mechanism& mechanism : mechanisms) count += physics.*mechanism.is_on ? 1 : 0;
  return count;
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

double share_of(const Attribution& attribution, std::size_t quantity, Player player) {
  return attribution.quantities[quantity].share_of(player).share;
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
  }
}

// Everything goes to one player, in every quantity, and the others get exactly nothing.
void check_all_to(const Attribution& attribution, Player only) {
  REQUIRE(attribution.runs.players == std::vector{only});
  for (const AttributedQuantity& q : attribution.quantities) {
    if (!q.no_value.empty()) continue;
    INFO(q.name);
    for (const auto& player : enumerators(Player{})) {
      CHECK(q.share_of(player.value).share == (player.value == only ? q.difference() : 0.0));
    }
  }
}

std::string all_sentences(const Attribution& attribution) {
  std::string text;
  for (const std::string& sentence : sentences(attribution)) text += sentence + '\n';
  return text;
}

bool contains(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("attribution: shares add up, over every mixture of what differs") {
  Case c = rough_case();
  c.modes[1].source.kind = SourceKind::unregulated;
  c.modes[0].source.peak_limit = 150;
  c.modes[1].source.peak_limit = 900;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.runs.players == std::vector{Player::source, Player::peak_limit, Player::arcing, Player::breakdown});
  REQUIRE(attribution.quantities[0].name == "depth_mm.coagulation");
  CHECK(attribution.quantities[0].difference() != 0);
  CHECK(attribution.runs.of_mixture.size() == 16);
  CHECK(attribution.runs.run.size() == 16 + 2 * switched_on(c.physics));  // and both modes with each mechanism off
  check_sums(attribution);
}

TEST_CASE("attribution: nothing of the second mode is the first mode, all of it the second, to the last bit") {
  Case c = rough_case();
  c.modes[1].activation = 1.5;
  const Attribution attribution = attribution_between(c);
  const auto records = run(c, case_grid(c), {}, 1);
  const AttributedQuantity& depth = attribution.quantities[0];
  CHECK(depth.first == records[0].effects[0].depth / 1e-3);
  CHECK(depth.second == records[1].effects[0].depth / 1e-3);
}

TEST_CASE("attribution: a waveform acts through peak limit, arcing and breakdown, and through nothing else") {
  // The first mode with the second one's waveform in the three places is the second mode, times and source being equal.
  Case c = rough_case();
  for (Mode& mode : c.modes) mode.source.peak_limit = 400;
  const auto whole = run(c, case_grid(c), {}, 1);
  CHECK(whole[0].effects[0].depth != whole[1].effects[0].depth);
  Case taken = c;
  taken.modes = {c.modes[0]};
  taken.modes[0].striking_waveform = taken.modes[0].breakdown_waveform = c.modes[1].waveform;
  CHECK(run(taken, case_grid(c), {}, 1)[0].effects[0].depth != whole[1].effects[0].depth);
  taken.modes[0].waveform = c.modes[1].waveform;
  CHECK(run(taken, case_grid(c), {}, 1)[0].effects[0].depth == whole[1].effects[0].depth);
  // And the other way round: its own three places given back, whatever the waveform says else.
  taken.modes[0].source.peak_limit = c.modes[0].source.peak_limit = 0;
  taken.modes[0].striking_waveform = taken.modes[0].breakdown_waveform = c.modes[0].waveform;
  CHECK(run(taken, case_grid(c), {}, 1)[0].effects[0].depth == run(c, case_grid(c), {}, 1)[0].effects[0].depth);
}

TEST_CASE("attribution: modes that do not differ share nothing, and that is said") {
  Case c = rough_case();
  c.modes[1] = c.modes[0];
  c.modes[1].name = "the same";
  CHECK(alike(c, c.modes[0], c.modes[1]));
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.runs.run.size() == 1 + switched_on(c.physics));
  for (const AttributedQuantity& q : attribution.quantities) {
    CHECK(q.difference() == 0);
    for (const PlayerShare& share : q.shares) {
      CHECK(share.share == 0);
      CHECK(share.least == 0);
      CHECK(share.greatest == 0);
    }
  }
  CHECK(contains(all_sentences(attribution), "differ in nothing that the model sees"));
  CHECK(contains(attribution_text(attribution, {}), "differ in nothing"));
}

TEST_CASE("attribution: where only the source differs, all belongs to the source, sparks or not") {
  for (Case c : {calm_case(), rough_case()}) {
    c.modes[1].waveform = c.modes[0].waveform;
    c.modes[1].source.kind = SourceKind::unregulated;
    c.modes[1].source.rated_load = 800;
    const Attribution attribution = attribution_between(c);
    CHECK(attribution.quantities[0].difference() > 0.05);
    check_all_to(attribution, Player::source);
    const std::string text = all_sentences(attribution);
    CHECK(contains(text, "Both were set to"));
    CHECK(contains(text, "because its source is rated for 800 ohm"));
    CHECK(contains(text, "Nothing differs in peak limit, arcing, breakdown and activation time: no share."));
  }
}

TEST_CASE("attribution: where only the activation differs, all belongs to the activation") {
  Case c = rough_case();
  c.modes[1].waveform = c.modes[0].waveform;
  c.modes[1].activation = 1;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.quantities[0].difference() > 0.05);
  check_all_to(attribution, Player::activation_time);
}

TEST_CASE("attribution: where only a peak limit differs, all belongs to it") {
  Case c = rough_case();
  c.modes[1].waveform = c.modes[0].waveform;
  c.modes[1].source.peak_limit = 60;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.quantities[0].difference() > 0.05);
  check_all_to(attribution, Player::peak_limit);
  CHECK(contains(all_sentences(attribution), "because it came to its limit of 60 V peak"));
}

TEST_CASE("attribution: one source without a peak limit, no arcing and no breakdown: any two waveforms agree") {
  Case c = rough_case();
  c.physics.arcing = c.physics.breakdown = false;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.runs.players.empty());
  for (const AttributedQuantity& q : attribution.quantities) {
    for (const PlayerShare& share : q.shares) CHECK(share.share == 0);
  }
  // The attribution takes that for granted; here both are run.
  const auto records = run(c, case_grid(c), {}, 1);
  CHECK(records[0].effects[0].depth > 1e-4);
  CHECK(records[0].effects[0].depth == Approx(records[1].effects[0].depth).epsilon(1e-12));
  CHECK(records[0].delivered == Approx(records[1].delivered).epsilon(1e-12));
}

TEST_CASE("attribution: where only the crest factor differs, source and times get nothing") {
  const Attribution attribution = attribution_between(rough_case());
  CHECK(attribution.runs.players == std::vector{Player::arcing, Player::breakdown});
  CHECK(attribution.quantities[0].difference() != 0);
  for (std::size_t q = 0; q < attribution.quantities.size(); ++q) {
    CHECK(share_of(attribution, q, Player::source) == 0);
    CHECK(share_of(attribution, q, Player::peak_limit) == 0);
  }
  check_sums(attribution);
}

TEST_CASE("attribution: it is the limit of the rms voltage that differs or not") {
  const Case c = rough_case();
  Mode first = c.modes[0], second = c.modes[1];
  first.source.peak_limit = 100 * crest_factor(first.waveform);
  second.source.peak_limit = 100 * crest_factor(second.waveform);
  CHECK(rms_limit(second) == Approx(100).epsilon(1e-14));
  CHECK(differences(c.physics, first, second) == std::vector{Player::arcing, Player::breakdown});
  second.source.peak_limit = first.source.peak_limit;
  CHECK(differences(c.physics, first, second) == std::vector{Player::peak_limit, Player::arcing, Player::breakdown});
}

TEST_CASE("attribution: what another kind of source would read is no difference") {
  const Case c = calm_case();
  Mode first = c.modes[0], second = c.modes[0];
  second.source.rated_load = 50;
  second.source.rms = 3;
  second.waveform.carrier *= 2;
  CHECK(differences(c.physics, first, second).empty());
  CHECK(what_decides(first, c.physics).mode.source == what_decides(second, c.physics).mode.source);
  second.source.current_limit = 1;
  CHECK(differences(c.physics, first, second) == std::vector{Player::source});
}

TEST_CASE("attribution: every switch, every number and every player tells runs apart") {
  const Case c = rough_case();
  Mode first = c.modes[0], second = c.modes[1];
  first.source.peak_limit = 150;
  second.source.kind = SourceKind::unregulated;
  second.source.peak_limit = 900;
  second.activation = 1;
  const DecidesRun here = what_decides(first, c.physics);
  CHECK(here == what_decides(first, c.physics));
  for (const Mechanism& mechanism : mechanisms) {
    INFO(mechanism.key);
    Physics without = c.physics;
    without.*mechanism.is_on = !(without.*mechanism.is_on);
    CHECK(!(what_decides(first, without) == here));
  }
  Physics other = c.physics;
  other.leak_conductance *= 2;
  CHECK(!(what_decides(first, other) == here));
  const std::vector<Player> players = differences(c.physics, first, second);
  REQUIRE(players.size() == enumerators(Player{}).size());
  for (std::size_t k = 0; k < players.size(); ++k) {
    INFO(word_of(players[k]));
    CHECK(!(what_decides(mixture(first, second, players, Coalition{1} << k), c.physics) == here));
  }
  // Without a spark there is no eschar to switch off.
  other = c.physics;
  other.arcing = false;
  const DecidesRun without_arcing = what_decides(first, other);
  other.eschar = false;
  CHECK(what_decides(first, other) == without_arcing);
}

TEST_CASE("attribution: a condition is both modes run with that mechanism off") {
  const Case c = rough_case();
  const Attribution attribution = attribution_between(c);
  REQUIRE(attribution.quantities[0].conditions.size() == switched_on(c.physics));
  for (const ConditionValues& condition : attribution.quantities[0].conditions) {
    Case without = c;
    without.physics.*condition.off->is_on = false;
    const auto records = run(without, case_grid(c), {}, 1);
    INFO(condition.off->key);
    CHECK(condition.first == records[0].effects[0].depth / 1e-3);
    CHECK(condition.second == records[1].effects[0].depth / 1e-3);
  }
}

TEST_CASE("attribution: what is off in the case neither plays nor is a condition") {
  Case c = rough_case();
  c.physics.arcing = c.physics.moisture = false;
  const Attribution attribution = attribution_between(c);
  CHECK(attribution.runs.players == std::vector{Player::breakdown});
  const auto json = attribution_json(attribution, {});
  for (const auto& quantity : json["quantities"]) {
    if (quantity.contains("no_value")) continue;
    CHECK(quantity["players"]["arcing"]["differs"] == false);
    CHECK(quantity["players"]["arcing"]["share"] == 0.0);
    CHECK(!quantity["conditions"].contains("arcing"));
    CHECK(!quantity["conditions"].contains("moisture"));
    CHECK(quantity["conditions"].size() == switched_on(c.physics));
  }
}

TEST_CASE("attribution: a condition whose numbers fail is told and takes nothing from the shares") {
  const Case c = calm_case();
  AttributionRuns runs = attribution_runs(c, {});
  runs.failed[runs.condition[0].second] = "it broke";
  runs.run[runs.condition[0].second] = {};
  const Attribution attribution = attribution_of(c, runs, 0);
  check_sums(attribution);
  const auto json = attribution_json(attribution, {});
  const auto& condition = json["quantities"][0]["conditions"][std::string(mechanisms[0].key)];
  CHECK(condition["second"].is_null());
  CHECK(condition["failed"] == "it broke");
  CHECK(contains(attribution_text(attribution, {}), "no result"));
  CHECK(contains(all_sentences(attribution), "without a result where there is no boil-off"));
}

TEST_CASE("attribution: the first sentence says what was set, what was delivered and into which load") {
  Case c = calm_case();
  c.modes[0].label = "steady";
  c.modes[1].source.kind = SourceKind::unregulated;
  const Attribution attribution = attribution_between(c);
  const ModeRecord& first = attribution.runs.first();
  const ModeRecord& second = attribution.runs.second();
  const std::string sentence = sentences(attribution).front();
  const auto power = [](const ModeRecord& r) { return fmt::format("{:.1f} W", r.delivered / 2); };
  CHECK(contains(sentence, "Both were set to 3 W. \"steady\" delivered " + power(first) + " on average into "));
  CHECK(contains(sentence, fmt::format("{:.0f} ohm, \"gated\" {} into ", first.resistance_start, power(second))));
  CHECK(sentence.ends_with("because its source is rated for 500 ohm."));
}

TEST_CASE("attribution: the same bits on one thread and on three") {
  const Case c = rough_case();
  CHECK(attribution_csv(attribution_between(c, 0, 1)) == attribution_csv(attribution_between(c, 0, 3)));
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
  for (const char* wrong : {"half", "half,", "half,gated,continuous", "half,gatde", ","}) {
    CHECK_THROWS_AS(case_of_two(c, wrong, "x"), CaseError);
  }
  // Equal crest factors: the first one that differs.
  Case equal = rough_case();
  equal.modes = {small_mode("a", 1, 2), small_mode("b", 1, 2), small_mode("c", 1, 3)};
  CHECK(case_of_two(equal, "", "x").modes[1].name == "c");
  CHECK_NOTHROW(require_difference(case_of_two(equal, "", "x"), "x"));
  equal.modes.pop_back();
  CHECK(case_of_two(equal, "", "x").modes[1].name == "b");
  CHECK_THROWS_AS(require_difference(case_of_two(equal, "", "x"), "x"), CaseError);
  equal.modes.pop_back();
  CHECK_THROWS_AS(case_of_two(equal, "", "x"), CaseError);
}
