// Whether a run fits into this machine.
#pragma once

#include "numerics/grid.hpp"
#include "report/console.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// What the modes that run side by side on so many threads take, see memory_of_mode() [byte].
double memory_of_run(const Case& c, const Grid& grid, int threads);

// Warns when that is more than the machine has.
void warn_of_memory(const Console& console, double bytes);

}  // namespace dryfront
