// Black-box semicoarsening multigrid on a structured grid, the preconditioner of every implicit solve.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "numerics/flux.hpp"

namespace dryfront {

// One V-cycle for the symmetric positive definite matrix of a FluxOperator.
//
// Every level smooths whole columns (lines in z) exactly, even columns and odd columns in turn, and halves the number of
// columns. The value on an odd column is interpolated from its two neighbours with weights that solve the odd column's
// own equation for a constant neighbour, and the coarse matrix is the Galerkin product: both follow jumps of the
// coefficient and strong anisotropy of either direction without being told (after Schaffer, SIAM J. Sci. Comput. 20
// (1998) 228; Dendy, McCormick, Ruge, Russell, Schaffer 1989; both from memory). Coarse levels have nine-point stencils.
// The cycle is symmetric: even, odd, coarse, odd, even. Cost and memory are proportional to the number of cells.
class Multigrid {
 public:
  Multigrid(int columns, int rows);

  // Sets the matrix. All entries must be finite; shunt may be zero in places but not everywhere.
  void build(const FluxOperator& op);
  // correction = one V-cycle applied to residual; natural order (index(i, j)).
  void cycle(std::span<const double> residual, std::span<double> correction);

 private:
  // Even and odd columns are kept apart so that every inner loop runs with unit stride:
  // column 2q is even[q], column 2q + 1 is odd[q].
  struct Lines {
    std::size_t count = 0;
    std::vector<double> diagonal, below;  // matrix entries: (j, j) and (j, j + 1)
    std::vector<double> pivot, lower;     // factors: 1/d_j and below_(j-1)/d_(j-1)
    std::vector<double> x, b;
    void resize(std::size_t lines, std::size_t rows);
    void factorise(std::size_t rows);
    void solve(std::size_t rows, const double* right_side);
  };
  // Entries between two neighbouring columns, seen from the left one: (left j, right j), (left j, right j + 1),
  // (left j, right j - 1).
  struct Coupling {
    std::vector<double> level, down, up;
    void resize(std::size_t pairs, std::size_t rows);
  };
  struct Level {
    Lines even, odd;
    Coupling even_odd;  // even[q] - odd[q]
    Coupling odd_even;  // odd[q] - even[q + 1]
    std::vector<double> left_weight, right_weight, work;
  };

  void coarsen(Level& fine, Level& coarse) const;
  void subtract_even(const Level& level, bool five_point, double* out) const;
  void subtract_odd(const Level& level, bool five_point, bool from_right_side, double* out) const;
  void descend(std::size_t depth);

  std::size_t columns_;
  std::size_t rows_;
  std::vector<Level> levels_;
};

}  // namespace dryfront
