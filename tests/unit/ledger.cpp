// Ledger and events of a mode. Exact: sums, and moments by arithmetic.
#include "simulation/ledger.hpp"

#include <catch2/catch.hpp>

#include "simulation/events.hpp"
#include "small_case.hpp"

using namespace dryfront;

TEST_CASE("ledgers add term by term, the worst electric residual stays") {
  Ledger sum;
  sum.electric_in = 1;
  sum.worst_electric = 3e-9;
  Ledger step;
  step.electric_in = 2;
  step.surface_in = 3;
  step.beyond_out = 4;
  step.spark_out = 5;
  step.metabolic_in = 6;
  step.air_out = 7;
  step.electrode_out = 8;
  step.far_out = 9;
  step.perfusion_out = 10;
  step.latent = 11;
  step.water_boiled = 12;
  step.steam_out = 13;
  step.vapour_condensed = 14;
  step.vapour_refused = 15;
  step.steam_kept = 16;
  step.pressed_out = 17;
  step.pressed_heat_out = 18;
  step.worst_electric = 1e-9;
  sum += step;
  const auto& [electric_in, surface_in, beyond_out, spark_out, metabolic_in, air_out, electrode_out, far_out,
               perfusion_out, latent, water_boiled, steam_out, vapour_condensed, vapour_refused, steam_kept,
               pressed_out, pressed_heat_out, worst_electric] = sum;
  CHECK(electric_in == 3);
  CHECK(worst_electric == 3e-9);
  const double others[] = {surface_in,     beyond_out,    spark_out,   metabolic_in,    air_out,   electrode_out,
                           far_out,        perfusion_out, latent,      water_boiled,    steam_out, vapour_condensed,
                           vapour_refused, steam_kept,    pressed_out, pressed_heat_out};
  int expected = 3;
  for (const double other : others) CHECK(other == expected++);
}

TEST_CASE("events come in order, each moment once, the end last") {
  Mode mode = small_mode("any", 1, 2);
  mode.after = 1;
  const auto events = events_of(mode, 3);  // frames at 1, 2, 3 s; switch at 2 s
  REQUIRE(events.size() == 3);
  for (int k = 0; k < 3; ++k) {
    const Event& event = events[static_cast<std::size_t>(k)];
    CHECK(event.time == (k + 1) * 1'000'000'000'000);
    CHECK(event.frame);
    CHECK(event.switch_off == (k == 1));
  }
  mode.activation = 1.5;
  mode.after = 0;
  const auto odd = events_of(mode, 7);  // sevenths of 1.5 s are no whole picoseconds
  REQUIRE(odd.size() == 7);
  CHECK(odd.back().time == 1'500'000'000'000);
  CHECK(odd.back().switch_off);
  for (std::size_t k = 1; k < odd.size(); ++k) CHECK(odd[k].time > odd[k - 1].time);
}
