// What a sweep would be, before any of it is computed.
#pragma once

#include <atomic>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "files/plan/plan_file.hpp"

namespace dryfront {

struct SweepOutlook {
  std::uint64_t points = 0;     // that would be computed
  std::uint64_t left_out = 0;   // by constraints
  std::uint64_t looked_at = 0;  // of the points: whose case was read; all of them up to most_looked_at
  std::uint64_t refused = 0;    // of those looked at: whose case is refused
  std::vector<std::pair<std::uint64_t, std::string>> refusals;  // the first of them, with what is wrong
  std::size_t least_cells = 0, most_cells = 0;                  // of the grids of those looked at
  double memory = 0;                                            // of the greatest grid on every thread [byte]
  double seconds = 0;         // of the whole sweep, from a sample; not a number when none was told [s]
  std::uint64_t sampled = 0;  // points that were computed for it
};

inline constexpr std::uint64_t most_looked_at = 2000;
inline constexpr std::size_t most_refusals = 5;

// Looks at the points of the plan, evenly spread when there are more than most_looked_at, and computes some for at most
// `patience` seconds. Ends early, with less looked at, when `stop` is set.
SweepOutlook outlook(const Plan& plan, int threads, double patience, const std::atomic<bool>& stop);

}  // namespace dryfront
