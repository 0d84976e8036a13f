// Interpolation between cell centres by a parabola.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

namespace dryfront {

// The parabola on [x_k, x_k+1]: through the two ends and, of the next points on either side, that one which bends it
// less (essentially non-oscillatory: Harten et al., J. Comput. Phys. 71 (1987) 231, abstract), so that a kink or jump
// outside the interval stays outside. Third order where the field is smooth. The first and the last interval have one
// such point only, so there it reaches in; linear where neither point exists.
//
//     y(x) = y_k + (y_k+1 - y_k) u + bend u (u - 1),   u = (x - x_k)/(x_k+1 - x_k)
struct Parabola {
  double begin = 0;   // x_k
  double length = 1;  // x_k+1 - x_k
  double first = 0;   // y_k
  double last = 0;    // y_k+1
  double bend = 0;    // second divided difference times length^2

  double at(double x) const {
    const double u = (x - begin) / length;
    return first + (last - first) * u + bend * u * (u - 1);
  }

  // Where it is zero, with one end on either side of zero or at it, not both: there is one such place between. From a
  // first end at zero it may rise and be zero once more; then the later place counts, as it does for an end just above
  // zero.
  double crossing() const {
    const double sign = first < last ? -1 : 1;
    const double start = sign * first;
    const double slope = sign * (last - first - bend);
    const double root = std::sqrt(std::max(0.0, slope * slope - 4 * sign * bend * start));
    // The one of the two equal forms that has no difference of near numbers. Rising at first, it bends down.
    const double share = slope < 0 ? 2 * start / (root - slope) : (slope + root) / (-2 * sign * bend);
    return begin + length * std::min(1.0, share);
  }
};

// `x`: increasing places; y(k): the value at x[k]; k: the interval's first point, k + 1 < x.size().
template <class Values>
Parabola parabola(std::span<const double> x, std::size_t k, Values y) {
  Parabola p{x[k], x[k + 1] - x[k], y(k), y(k + 1), 0};
  const double slope = (p.last - p.first) / p.length;
  const auto bend = [&](std::size_t near, std::size_t far, double outer_slope) {
    return (outer_slope - slope) / (x[far] - x[near]) * p.length * p.length;
  };
  const bool before = k > 0;
  const bool after = k + 2 < x.size();
  const double left = before ? bend(k + 1, k - 1, (p.first - y(k - 1)) / (x[k] - x[k - 1])) : 0;
  const double right = after ? bend(k, k + 2, (y(k + 2) - p.last) / (x[k + 2] - x[k + 1])) : 0;
  if (before && after) {
    p.bend = std::abs(left) < std::abs(right) ? left : right;
  } else {
    p.bend = before ? left : right;
  }
  return p;
}

}  // namespace dryfront
