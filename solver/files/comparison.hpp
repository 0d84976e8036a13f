// The drives of a run side by side, for a terminal.
#pragma once

#include <span>
#include <string>

#include "files/depth_interval.hpp"
#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

inline constexpr std::size_t comparison_width = 100;  // no line is longer

// The table, plain text without control characters, the interval or that there is none, on which footing the drives stand
// where the case asks for one, and the verdict as its last line.
std::string comparison(const Case& c, const Grid& grid, std::span<const DriveRecord> records,
                       const IntervalAnswer& interval);

// One sentence: which drive reached deepest with the effect "coagulation" (the first one when there is none of that
// name), by how much in mm and per cent. Drives that differ by less than the cell of the grid in which the deeper front
// stands count as alike: when all do, when no drive reached any depth or when one did not complete, there is no winner.
std::string verdict(const Case& c, const Grid& grid, std::span<const DriveRecord> records);

}  // namespace dryfront
