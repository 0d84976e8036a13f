#include "studies/footing.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "simulation/run.hpp"
#include "small_case.hpp"

using namespace dryfront;

namespace {

Case rough_case() {
  Case c = small_case();
  c.grading = {3e-4, 1.4, 4e-3};
  c.time.tolerance = 4;
  c.output.frames = 1;
  c.drives[1].source.kind = SourceKind::matched;
  return c;
}

// The footing holds, also when the changed case is run again by itself.
FootedPair held(const Case& c, Footing footing) {
  FootedPair pair = on_footing(c, case_grid(c), footing, {});
  INFO(word(footing) << ": " << pair.wanted << " and " << pair.held << ", " << pair.changed);
  CHECK(std::abs(pair.held / pair.wanted - 1) <= footing_tolerance);
  const auto again = run(pair.two, case_grid(pair.two), {}, 1);
  CHECK(again[0].delivered == pair.first.delivered);
  CHECK(again[1].delivered == pair.second.delivered);
  CHECK(again[1].effects[0].depth == pair.second.effects[0].depth);
  return pair;
}

}  // namespace

TEST_CASE("footing: the same dial") {
  Case c = rough_case();
  c.drives[1].source.dial = 25;
  CHECK(held(c, Footing::same_dial).two.drives[1].source.dial == 60);
  c.drives[1].source.kind = SourceKind::voltage;
  CHECK_THROWS_AS(on_footing(c, case_grid(c), Footing::same_dial, {}), NotFound);
}

TEST_CASE("footing: the same mean power, by the dial") {
  const Case c = rough_case();
  const FootedPair pair = held(c, Footing::mean_power);
  CHECK(pair.second.delivered == Approx(pair.first.delivered).epsilon(footing_tolerance));
  CHECK(pair.two.drives[1].dwell == c.drives[1].dwell);
}

TEST_CASE("footing: a source that gives its dial into any load has the mean power for a dial") {
  Case c = rough_case();
  for (Drive& drive : c.drives) {
    drive.source.kind = SourceKind::power;
    drive.source.peak_limit = 0;
  }
  c.drives[1].source.dial = 33;
  CHECK(held(c, Footing::mean_power).two.drives[1].source.dial == Approx(60).epsilon(footing_tolerance));
}

TEST_CASE("footing: the same energy, by the dwell") {
  Case c = rough_case();
  // Constant power makes the answer known: half the power, twice the dwell.
  for (Drive& drive : c.drives) {
    drive.source.kind = SourceKind::power;
    drive.source.peak_limit = 0;
    drive.source.dial = 20;
  }
  c.drives[1].source.dial = 10;
  CHECK(held(c, Footing::energy).two.drives[1].dwell == Approx(4).epsilon(footing_tolerance));
}

TEST_CASE("footing: the same time to dry out, by the dial") {
  Case c = rough_case();
  for (Drive& drive : c.drives) drive.dwell = 4;
  const FootedPair pair = held(c, Footing::dry_out);
  CHECK(pair.second.dry_out == Approx(pair.first.dry_out).epsilon(footing_tolerance));
  c.drives[0].source.dial = 2;
  CHECK_THROWS_WITH(on_footing(c, case_grid(c), Footing::dry_out, {}), Catch::Contains("does not dry out"));
}

TEST_CASE("footing: the dwell at which the order turns, with its bracket") {
  // Calm drives: the first has the smaller power and so never leads; nothing turns.
  Case c = rough_case();
  c.effects = {{"warm", EffectKind::temperature, 0, 30}};
  c.drives[0].source.dial = 3;
  c.drives[1].source = c.drives[0].source;
  c.drives[1].source.dial = 4;
  const OrderOverDwell none = order_over_dwell(c, case_grid(c), 0, 0.5, 8, 5, 1e-5, 2, {});
  CHECK(none.dwell.size() == 5);
  CHECK(none.dwell.front() == 0.5);
  CHECK(none.dwell.back() == Approx(8));
  CHECK(none.turns.empty());
  for (std::size_t k = 0; k < none.dwell.size(); ++k) CHECK(none.first_depth[k] <= none.second_depth[k]);

  // At first the stronger drive leads; it dries its contact and stops, so that the weaker one overtakes it.
  Case turning = rough_case();
  turning.physics.striking = turning.physics.breakdown = false;
  turning.drives[1] = turning.drives[0];
  turning.drives[1].name = "weaker";
  turning.drives[1].source.dial = 30;
  const OrderOverDwell turned = order_over_dwell(turning, case_grid(turning), 0, 0.5, 16, 6, 1e-5, 2, {});
  REQUIRE(turned.turns.size() == 1);
  const TurnOfOrder& turn = turned.turns[0];
  CHECK_FALSE(turn.first_leads_after);
  CHECK(turn.upper / turn.lower <= 1.0051);
  const auto lead = [&](double dwell) {
    Case at = turning;
    for (Drive& drive : at.drives) drive.dwell = dwell;
    const auto records = run(at, case_grid(at), {}, 1);
    return records[0].effects[0].depth - records[1].effects[0].depth;
  };
  CHECK(lead(turn.lower) >= 0);
  CHECK(lead(turn.upper) <= 0);
}
