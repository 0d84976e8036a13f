#include "studies/search/basis.hpp"

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
  c.modes[1].source.kind = SourceKind::unregulated;
  return c;
}

// The basis holds, also when the changed case is run again by itself.
PairOnBasis held(const Case& c, Basis basis) {
  PairOnBasis pair = on_basis(c, case_grid(c), basis, {});
  INFO(word_of(basis) << ": " << pair.wanted << " and " << pair.held << ", " << pair.changed);
  CHECK(std::abs(pair.held / pair.wanted - 1) <= basis_tolerance);
  const auto again = run(pair.two, case_grid(pair.two), {}, 1);
  CHECK(again[0].delivered == pair.first.delivered);
  CHECK(again[1].delivered == pair.second.delivered);
  CHECK(again[1].effects[0].depth == pair.second.effects[0].depth);
  return pair;
}

}  // namespace

TEST_CASE("basis: the same setting") {
  Case c = rough_case();
  c.modes[1].source.setting = 25;
  CHECK(held(c, Basis::same_setting).two.modes[1].source.setting == 60);
  c.modes[1].source.kind = SourceKind::voltage;
  CHECK_THROWS_AS(on_basis(c, case_grid(c), Basis::same_setting, {}), NotFound);
}

TEST_CASE("basis: the same mean power, by the setting") {
  const Case c = rough_case();
  const PairOnBasis pair = held(c, Basis::mean_power);
  CHECK(pair.second.delivered == Approx(pair.first.delivered).epsilon(basis_tolerance));
  CHECK(pair.two.modes[1].activation == c.modes[1].activation);
}

TEST_CASE("basis: a source that gives its setting into any load has the mean power for a setting") {
  Case c = rough_case();
  for (Mode& mode : c.modes) {
    mode.source.kind = SourceKind::constant_power;
    mode.source.peak_limit = 0;
  }
  c.modes[1].source.setting = 33;
  CHECK(held(c, Basis::mean_power).two.modes[1].source.setting == Approx(60).epsilon(basis_tolerance));
}

TEST_CASE("basis: the same energy, by the activation") {
  Case c = rough_case();
  // Constant power makes the answer known: half the power, twice the activation.
  for (Mode& mode : c.modes) {
    mode.source.kind = SourceKind::constant_power;
    mode.source.peak_limit = 0;
    mode.source.setting = 20;
  }
  c.modes[1].source.setting = 10;
  CHECK(held(c, Basis::energy).two.modes[1].activation == Approx(4).epsilon(basis_tolerance));
}

TEST_CASE("basis: the same time to dry out, by the setting") {
  Case c = rough_case();
  for (Mode& mode : c.modes) mode.activation = 4;
  const PairOnBasis pair = held(c, Basis::dry_out);
  CHECK(pair.second.dry_out == Approx(pair.first.dry_out).epsilon(basis_tolerance));
  c.modes[0].source.setting = 2;
  CHECK_THROWS_WITH(on_basis(c, case_grid(c), Basis::dry_out, {}), Catch::Contains("does not dry out"));
}

TEST_CASE("basis: the activation at which the order turns, with its bracket") {
  // Calm modes: the first has the smaller power and so never leads; nothing turns.
  Case c = rough_case();
  c.effects = {{"warm", EffectKind::temperature, 0, 30}};
  c.modes[0].source.setting = 3;
  c.modes[1].source = c.modes[0].source;
  c.modes[1].source.setting = 4;
  const OrderOverActivation none = order_over_activation(c, case_grid(c), 0, 0.5, 8, 5, 1e-5, 2, {});
  CHECK(none.activation.size() == 5);
  CHECK(none.activation.front() == 0.5);
  CHECK(none.activation.back() == Approx(8));
  CHECK(none.turns.empty());
  for (std::size_t k = 0; k < none.activation.size(); ++k) CHECK(none.first_depth[k] <= none.second_depth[k]);

  // At first the stronger mode leads; it dries its contact and stops, so that the weaker one overtakes it.
  Case turning = rough_case();
  turning.physics.arcing = turning.physics.breakdown = false;
  turning.modes[1] = turning.modes[0];
  turning.modes[1].name = "weaker";
  turning.modes[1].source.setting = 30;
  const OrderOverActivation turned = order_over_activation(turning, case_grid(turning), 0, 0.5, 16, 6, 1e-5, 2, {});
  REQUIRE(turned.turns.size() == 1);
  const TurnOfOrder& turn = turned.turns[0];
  CHECK_FALSE(turn.first_leads_after);
  CHECK(turn.upper / turn.lower <= 1.0051);
  const auto lead = [&](double activation) {
    Case at = turning;
    for (Mode& mode : at.modes) mode.activation = activation;
    const auto records = run(at, case_grid(at), {}, 1);
    return records[0].effects[0].depth - records[1].effects[0].depth;
  };
  CHECK(lead(turn.lower) >= 0);
  CHECK(lead(turn.upper) <= 0);
}
