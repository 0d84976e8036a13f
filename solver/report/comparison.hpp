// The modes of a run side by side, for a terminal.
#pragma once

#include <span>
#include <string>

#include "numerics/grid.hpp"
#include "report/interval_text.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// The table, plain text without control characters, the interval or that there is none, the caution, on which basis the
// modes stand where the case asks for one, and the verdict as its last line.
std::string comparison(const Case& c, const Grid& grid, std::span<const ModeRecord> records,
                       const IntervalAnswer& interval);

// One sentence: which mode reached deepest with the effect "coagulation" (the first one when there is none of that
// name), by how much in mm and per cent. Modes that differ by less than the cell of the grid in which the deeper front
// stands count as alike: when all do, when no mode reached any depth or when one did not complete, there is no winner.
std::string verdict(const Case& c, const Grid& grid, std::span<const ModeRecord> records);

}  // namespace dryfront
