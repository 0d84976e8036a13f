// Black-box semicoarsening multigrid on a structured grid, the preconditioner of every implicit solve.
#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <span>
#include <vector>

#include "numerics/flux.hpp"

namespace dryfront {

// One V-cycle for the symmetric positive definite matrix of a FluxOperator.
//
// Every level smooths whole columns (lines in z) exactly, even columns and odd columns in turn, and halves the number
// of columns. The value on an odd column is interpolated from its two neighbours with weights that solve the odd
// column's own equation for a constant neighbour, and the coarse matrix is the Galerkin product: both follow jumps of
// the coefficient and strong anisotropy of either direction without being told (after Schaffer, SIAM J. Sci. Comput. 20
// (1998) 228; Dendy, McCormick, Ruge, Russell, Schaffer 1989; both from memory). Coarse levels have nine-point
// stencils. The cycle is symmetric: even, odd, coarse, odd, even. Cost and memory are proportional to the number of
// cells.
//
// Storage: each level keeps even and odd columns apart, column 2q in even[q], column 2q + 1 in odd[q + 1], all with the
// same row stride, two rows of zeros before the first and one after the last. So the neighbours of even[k] are odd[k]
// (west) and odd[k + 1] (east), and every sweep that does not run along a line is one loop over the whole level,
// without a test:
//
//     column   0       1       2       3       4
//     even    [0]             [1]             [2]   [3] = 0
//     odd     [0] = 0 [1]             [2]     [3] = 0
class Multigrid {
 public:
  Multigrid(int columns, int rows);

  // Sets the matrix. All entries must be finite; shunt may be zero in places but not everywhere.
  void build(const FluxOperator& op);
  // correction = one V-cycle applied to residual; natural order (index(i, j)).
  void cycle(std::span<const double> residual, std::span<double> correction);

 private:
  static constexpr std::size_t lead = 2;  // rows of zeros before the first
  // Aligned for whole vector loads.
  using Field = std::vector<double, Eigen::aligned_allocator<double>>;  // (lead + rows + 1) * stride and a few more

  // Matrix entries within the lines of one colour, and their factors.
  struct Lines {
    Field diagonal, below;  // (j, j) and (j, j + 1)
    Field pivot, lower;     // 1/d_j and below_(j-1)/d_(j-1)
    Field x, b;
  };
  // Entries between an odd column and its neighbour of lower number (west) or higher number (east), stored at the odd
  // column: to the neighbour's row j, j + 1 and j - 1.
  struct Coupling {
    Field level, down, up;
  };
  struct Level {
    std::size_t evens = 0, odds = 0, stride = 0;
    Lines even, odd;
    Coupling west, east;
    Field west_weight, east_weight;  // of the interpolation, stored at the odd column
    Field row;                       // one row of residuals, or of what becomes the next level's matrix
  };

  void factorise(const Level& level, Lines& lines) const;
  template <class RightSide>
  void solve(const Level& level, const Lines& lines, Field& x, RightSide right) const;
  void find_weights(Level& level, const Coupling& side, Field& weight, bool five_point) const;
  template <bool five_point>
  void coarsen(Level& fine, Level& coarse) const;
  void deal_row(const double* natural, const Level& to, std::size_t j, Field& even, Field& odd) const;
  void smooth_odd(Level& level, bool five_point) const;
  template <class Use>
  void with_coupling_to_odd(const Level& level, bool five_point, Use use) const;
  void smooth_even(Level& level, bool five_point) const;
  void restrict_residual(Level& level, Level& coarse, bool five_point) const;
  void descend(std::size_t depth);

  std::size_t columns_;
  std::size_t rows_;
  std::vector<Level> levels_;
};

}  // namespace dryfront
