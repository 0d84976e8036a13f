// What a result depends on, and how it is distributed.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace dryfront {

// A number with the range it lies in with 95 % confidence.
struct Estimate {
  double value = 0;
  double low = 0;
  double high = 0;
};

struct SobolIndices {
  std::vector<Estimate> first;  // per axis: share of the variance that goes when that axis is held
  std::vector<Estimate> total;  // per axis: share that stays when all others are held
  double mean = 0;
  double variance = 0;
  std::size_t base_points = 0;  // that were used
  std::size_t left_out = 0;     // base points with a result that is no finite number
};

// Sobol indices of `axes` axes from the results of a saltelli design, `results` in its order (A, B, then A with one
// axis at a time from B, for every base point):
//   first  S_i = mean( f_B (f_ABi - f_A) ) / V           Saltelli et al., Comput. Phys. Commun. 181 (2010) 259
//   total  T_i = mean( (f_A - f_ABi)^2 ) / (2 V)         Jansen, Comput. Phys. Commun. 117 (1999) 35
// with V the variance of f_A and f_B together, f taken from its mean. Confidence from resampling base points with
// replacement (bootstrap percentiles; Efron and Tibshirani 1993). All not a number when V is zero or fewer than two
// base points are left. The same `seed` gives the same numbers.
SobolIndices sobol_indices(std::span<const double> results, std::size_t axes, std::uint64_t seed);

// The value below which `share` of the finite values lie, by linear interpolation between order statistics (type 7 of
// Hyndman and Fan 1996); not a number when there are none. `sorted` in ascending order.
double sorted_quantile(std::span<const double> sorted, double share);

// The line where a field given on a grid is `level`: its crossings with the grid lines, joined cell by cell (marching
// squares; the saddle is split by the mean of the corners). A cell with a corner that is no finite number has no line.
// `field` has one value per (x, y), y fastest. Positions are found by linear interpolation in x and y as given: pass
// logarithms for logarithmic axes.
struct LevelSegment {
  double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
};
std::vector<LevelSegment> level_line(std::span<const double> x, std::span<const double> y,
                                     std::span<const double> field, double level);

}  // namespace dryfront
