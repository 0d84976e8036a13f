// How many specimens show on a bench what a run computes.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

inline constexpr double specimens_alpha = 0.05;                                       // two-sided
inline constexpr std::array<double, 2> specimens_powers{0.8, 0.9};                    // chance to find the difference
inline constexpr std::array<double, 5> specimens_spreads{0.05, 0.1, 0.15, 0.2, 0.3};  // deviation over mean
inline constexpr int most_specimens = 1000;                                           // per mode; more is not told

// One effect in two modes. The specimens of both are taken to vary by the same standard deviation, a share (the spread)
// of the mean of the two depths.
struct NeededSpecimens {
  std::string effect;
  std::size_t first = 0, second = 0;  // modes
  double first_depth = 0;             // [m]
  double second_depth = 0;            // [m]
  double first_cell = 0;              // height of the grid's cell there [m]
  double second_cell = 0;             // [m]
  // Whether the depths differ by more than the cells there; where not, no number of specimens shows a difference that
  // the run has not computed, and `per_mode` is empty.
  bool differ = false;
  std::vector<std::array<std::optional<int>, specimens_powers.size()>> per_mode;  // per spread and power
};

// Every effect of every pair of modes, pairs in the order of the case.
std::vector<NeededSpecimens> needed_specimens(const Case& c, const Grid& grid, std::span<const ModeRecord> records);

}  // namespace dryfront
