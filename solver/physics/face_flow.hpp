// Water that crosses the faces between cells within a step, and the bounds of what a cell may lose and gain.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "numerics/grid.hpp"

namespace dryfront {

struct FaceFlow {
  explicit FaceFlow(const Grid& grid);

  std::size_t columns;
  std::vector<double> east, south;  // from a cell to the next one; 0 in the last column, the last row [kg]
};

// Calls visit(neighbour, mass&, sign) for every face of a cell; sign * mass leaves it.
template <typename Visit>
void for_each_flow(FaceFlow& flow, std::size_t cell, Visit visit) {
  const std::size_t columns = flow.columns;
  if (cell % columns + 1 < columns) visit(cell + 1, flow.east[cell], 1.0);
  if (cell % columns > 0) visit(cell - 1, flow.east[cell - 1], -1.0);
  if (cell + columns < flow.south.size()) visit(cell + columns, flow.south[cell], 1.0);
  if (cell >= columns) visit(cell - columns, flow.south[cell - columns], -1.0);
}

// Flows that all run down one potential are cut where a cell would lose or gain too much; what is refused stays with
// the giver. What a cell passes on makes room for what comes in, so the order in which the cells are seen to matters:
// from the top of the potential for what they lose, from its foot for what they gain, each once.
class FlowBounds {
 public:
  explicit FlowBounds(const Grid& grid);

  // Cuts what leaves a cell to `may_lose` and what comes in [kg].
  void bound_losses(std::span<const double> potential, std::span<const double> may_lose, FaceFlow& flow);
  // Cuts what comes in to `may_gain` and what leaves the cell [kg].
  void bound_gains(std::span<const double> potential, std::span<const double> may_gain, FaceFlow& flow);

 private:
  void sort(std::span<const double> potential);

  std::vector<std::size_t> rising_;  // cells from the foot of the potential to its top
};

}  // namespace dryfront
