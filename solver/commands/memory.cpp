#include "commands/memory.hpp"

#include <unistd.h>

#include <algorithm>

#include <fmt/format.h>

#include "report/sweep_outlook.hpp"
#include "simulation/run.hpp"

namespace dryfront {

double memory_of_run(const Case& c, const Grid& grid, int threads) {
  return memory_of_mode(grid) * std::min(threads, static_cast<int>(c.modes.size()));
}

void warn_of_memory(const Console& console, double bytes) {
  const double there = static_cast<double>(::sysconf(_SC_PHYS_PAGES)) * static_cast<double>(::sysconf(_SC_PAGESIZE));
  if (bytes <= there) return;
  console.warn(
      fmt::format("the run takes about {} and this machine has {}; fewer --threads or a coarser grid "
                  "take less "
                  "(grid.fine_mm, grid.coarse_mm)",
                  bytes_text(bytes), bytes_text(there)));
}

}  // namespace dryfront
