// What is attributed: depths of effect, energies, the time to a depth; and the attribution of each.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "simulation/case.hpp"
#include "studies/attribution/runs.hpp"

namespace dryfront {

inline constexpr std::size_t all_players = enumerators(Player{}).size();

// A number of both modes with one mechanism off in both; not a number where a run has none.
struct ConditionValues {
  const Mechanism* off;
  double first = 0, second = 0;
};

// One number of a run and how the players share its difference between the modes, first minus second.
struct AttributedQuantity {
  std::string name;        // "depth_mm.coagulation", "surface_J", "delivered_J", "time_to_depth_s"
  std::string words;       // "depth of coagulation"
  std::string unit;        // "mm", "J", "s"
  int decimals = 2;        // that are worth printing
  std::string no_value{};  // why there are no numbers; empty: there are
  double first = 0, second = 0;
  std::array<PlayerShare, all_players> shares{};  // per player; zero where the modes do not differ in it
  std::array<std::array<double, all_players>, all_players> interaction{};
  std::vector<ConditionValues> conditions{};

  double difference() const { return first - second; }
  const PlayerShare& share_of(Player player) const { return shares[static_cast<std::size_t>(player)]; }
};

struct Attribution {
  Case of;  // with the two modes only
  AttributionRuns runs;
  std::vector<AttributedQuantity> quantities;  // the first one is the depth of the principal effect
  double depth_timed = 0;                      // the depth of the time to a depth [m]
};

// The effect "coagulation", or the first one when there is none of that name. The case has effects (asserted).
std::size_t principal_effect(const Case& c);

// When the greatest depth of an effect first reached `depth` [m]; not_a_time when it did not   [s]
double time_to_depth(const ModeRecord& record, std::size_t effect, double depth);

// Attributes the difference between the two modes of `of`. `wanted_depth` [m] is that of the time to a depth; 0: nine
// tenths of the least that any mixture reaches, rounded down to 0.1 mm.
// Throws CaseError when a depth is wanted that one of the two modes does not reach.
Attribution attribution_of(const Case& of, AttributionRuns runs, double wanted_depth);

}  // namespace dryfront
