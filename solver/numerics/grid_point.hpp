// A place between cell centres, and what a field is there.
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

#include "numerics/grid.hpp"
#include "numerics/parabola.hpp"

namespace dryfront {

// Parabolas along r in the rows around, and one along z through what they give. A field is even in r, which gives the
// axis a point beyond it. Above the first row's centres, below the last row's and beyond the last column's the nearest
// centre counts.
class GridPoint {
 public:
  GridPoint(const Grid& grid, double r, double z) : columns_(grid.r().size()), centre_z_(grid.z()) {
    centre_r_.push_back(-grid.r().front());
    centre_r_.insert(centre_r_.end(), grid.r().begin(), grid.r().end());
    r_ = std::clamp(r, 0.0, centre_r_.back());
    z_ = std::clamp(z, centre_z_.front(), centre_z_.back());
    i_ = interval(centre_r_, r_);
    j_ = interval(centre_z_, z_);
  }

  // `value` of a cell, given its index.
  template <class Value>
  double at(Value value) const {
    if (centre_z_.size() == 1) return across(0, value);
    return parabola(centre_z_, j_, [&](std::size_t row) { return across(row, value); }).at(z_);
  }

 private:
  static std::size_t interval(std::span<const double> centre, double x) {
    if (centre.size() < 2) return 0;
    const auto above = std::upper_bound(centre.begin() + 1, centre.end() - 1, x);
    return static_cast<std::size_t>(above - centre.begin()) - 1;
  }

  template <class Value>
  double across(std::size_t row, Value value) const {
    const auto mirrored = [&](std::size_t k) { return value(row * columns_ + (k > 0 ? k - 1 : 0)); };
    return parabola(centre_r_, i_, mirrored).at(r_);
  }

  std::size_t columns_;
  std::span<const double> centre_z_;
  std::vector<double> centre_r_;  // with a mirrored first one
  double r_, z_;
  std::size_t i_, j_;
};

}  // namespace dryfront
