// What is attributed: depths of effect, energies, the time to a depth; and the attribution of each.
#pragma once

#include <string>
#include <vector>

#include "simulation/case.hpp"
#include "studies/attribution/runs.hpp"

namespace dryfront {

// One number of a run and how the mechanisms share its difference between the modes, first minus second.
struct AttributedQuantity {
  std::string name;        // "depth_mm.coagulation", "surface_J", "delivered_J", "time_to_depth_s"
  std::string words;       // "depth of coagulation"
  std::string unit;        // "mm", "J", "s"
  int decimals = 2;        // that are worth printing
  std::string no_value{};  // why there are no numbers; empty: there are
  double first = 0, second = 0;
  double left_over = 0;               // the difference with all mechanisms off, zero but for round-off
  std::vector<PlayerShare> shares{};  // per player
  std::vector<std::vector<double>> interaction{};

  double difference() const { return first - second; }
};

struct Attribution {
  Case of;  // with the two modes only
  CoalitionRuns runs;
  std::vector<AttributedQuantity> quantities;  // the first one is the depth of the principal effect
  double depth_timed = 0;                      // the depth of the time to a depth [m]
};

// The effect "coagulation", or the first one when there is none of that name. The case has effects (asserted).
std::size_t principal_effect(const Case& c);

// When the greatest depth of an effect first reached `depth` [m]; not_a_time when it did not   [s]
double time_to_depth(const ModeRecord& record, std::size_t effect, double depth);

// Attributes the difference between the two modes of `of`. `wanted_depth` [m] is that of the time to a depth; 0: nine
// tenths of the least that any of the runs reaches, rounded down to 0.1 mm.
// Throws CaseError when a depth is wanted that one of the two modes does not reach.
Attribution attribution_of(const Case& of, CoalitionRuns runs, double wanted_depth);

}  // namespace dryfront
