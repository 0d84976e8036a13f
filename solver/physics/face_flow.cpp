#include "physics/face_flow.hpp"

#include <algorithm>
#include <numeric>

namespace dryfront {

namespace {

// The flows of one direction through a cell's faces are cut in proportion, so that they sum up to `allowed` and what
// goes the other way at most.
void cut(FaceFlow& flow, std::size_t cell, double direction, double allowed) {
  double cut_way = 0, other_way = 0;
  for_each_flow(flow, cell, [&](std::size_t, double& mass, double sign) {
    const double along = direction * sign * mass;
    (along > 0 ? cut_way : other_way) += std::abs(along);
  });
  const double most = std::max(0.0, allowed + other_way);
  if (cut_way <= most) return;
  const double left = most / cut_way;
  for_each_flow(flow, cell, [&](std::size_t, double& mass, double sign) {
    if (direction * sign * mass > 0) mass *= left;
  });
}

}  // namespace

FaceFlow::FaceFlow(const Grid& grid)
    : columns(static_cast<std::size_t>(grid.columns())), east(grid.cells(), 0.0), south(grid.cells(), 0.0) {}

FlowBounds::FlowBounds(const Grid& grid) : rising_(grid.cells()) { std::iota(rising_.begin(), rising_.end(), 0); }

void FlowBounds::sort(std::span<const double> potential) {
  std::sort(rising_.begin(), rising_.end(), [&](std::size_t a, std::size_t b) {
    return potential[a] != potential[b] ? potential[a] < potential[b] : a < b;
  });
}

void FlowBounds::bound_losses(std::span<const double> potential, std::span<const double> may_lose, FaceFlow& flow) {
  sort(potential);
  for (auto cell = rising_.rbegin(); cell != rising_.rend(); ++cell) cut(flow, *cell, 1.0, may_lose[*cell]);
}

void FlowBounds::bound_gains(std::span<const double> potential, std::span<const double> may_gain, FaceFlow& flow) {
  sort(potential);
  for (const std::size_t cell : rising_) cut(flow, cell, -1.0, may_gain[cell]);
}

}  // namespace dryfront
