// The greatest value of a function within a box.
#pragma once

#include <functional>
#include <span>
#include <vector>

namespace dryfront {

// The value at x; where `gradient` is not empty also the derivatives there.
using BoxFunction = std::function<double(std::span<const double> x, std::span<double> gradient)>;

struct Box {
  std::vector<double> lower, upper;
};

struct Maximum {
  std::vector<double> at;
  double value = 0;
};

// A local maximum near `start` (moved into the box): by gradients (L-BFGS, Nocedal 1980), or without any (Sbplx, Rowan
// 1990), both of NLopt. It ends when x moves less than `tolerance` or after `most` evaluations; the best point met is
// given in any case. The function may be minus infinity, but not at the start.
Maximum climb_by_gradient(const BoxFunction& f, const Box& box, std::vector<double> start, double tolerance, int most);
Maximum climb(const BoxFunction& f, const Box& box, std::vector<double> start, double tolerance, int most);

}  // namespace dryfront
