// run: all modes of a case, from start to end of their watching time.
#pragma once

#include <stdexcept>
#include <vector>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/checkpoint.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// The numbers' error: where and when the computation broke, with its residual. Exit code 3.
class NumericalFailure : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// The grid a case is solved on: marks at the surface and at the electrode's edge, breakpoints at layers and pad edges;
// with the volumes that the electrode's metal leaves.
Grid case_grid(const Case& c);

// Memory that one mode takes while it runs [byte]. Measured, not counted: 2.0 to 2.2 kB a cell from 50,000 cells to a
// million (/usr/bin/time -v dryfront run).
inline double memory_of_mode(const Grid& grid) {
  constexpr double bytes_per_cell = 2100;
  return bytes_per_cell * static_cast<double>(grid.cells());
}

// Runs every mode, at most `threads` of them side by side; the result does not depend on `threads`. With `from`, one
// checkpoint a mode, it goes on from there and ends with the same bits as a run that was not stopped; frames the
// earlier part has given are not given again. Throws NumericalFailure.
std::vector<ModeRecord> run(const Case& c, const Grid& grid, const Observer& observer, int threads,
                            const std::vector<ModeCheckpoint>& from = {});

// The electric state at the start, for `check`: load seen by each mode and the rms voltage across it.
struct LoadAtStart {
  double resistance = 0;  // [ohm]
  double rms = 0;         // [V]
  double power = 0;       // [W]
  double arcing_share = 0;
};
LoadAtStart load_at_start(const Case& c, const Grid& grid, int mode);

}  // namespace dryfront
