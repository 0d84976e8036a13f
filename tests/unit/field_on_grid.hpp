// A function of (r, z) at the centres of a grid.
#pragma once

#include <vector>

#include "numerics/grid.hpp"

namespace dryfront {

template <class Function>
std::vector<double> field_on(const Grid& grid, Function value) {
  std::vector<double> result;
  for (const double z : grid.z()) {
    for (const double r : grid.r()) result.push_back(value(r, z));
  }
  return result;
}

}  // namespace dryfront
