// Solves the linear system of a FluxOperator: conjugate gradients preconditioned by multigrid. The physics talks to
// this class only, so that the method can be exchanged here.
#pragma once

#include <span>
#include <vector>

#include "numerics/flux.hpp"
#include "numerics/multigrid.hpp"

namespace dryfront {

struct SolveReport {
  int iterations = 0;
  double error = 0;        // estimated error in the energy norm, sqrt(r^T M^-1 r)
  bool converged = false;  // false: limit of iterations, a number not finite, or op not positive definite
};

class EllipticSolver {
 public:
  EllipticSolver(int columns, int rows);

  // Sets up the preconditioner for op. It stays good for operators near op; solve() may be given another one.
  void prepare(const FluxOperator& op) {
    multigrid_.build(op);
    inverse_diagonal_.clear();
  }
  // The same with the diagonal alone as the preconditioner, for an op without a node: cheaper where every cell's shunt
  // outweighs its faces.
  void prepare_diagonal(const FluxOperator& op);

  // Improves x until the estimated energy norm of its error is at most `allowed`:
  // sqrt(r^T M^-1 r), r = right_side - op x, M the V-cycle or the diagonal. (A test on the plain residual is blind
  // where cells are thin.) A node of op is solved for along with the cells: the preconditioner takes node, cells and
  // node in turn, each with what the others have just become (symmetric block Gauss-Seidel).
  SolveReport solve(const FluxOperator& op, std::span<const double> right_side, double allowed, int most_iterations,
                    std::span<double> x);

 private:
  void precondition(const FluxOperator& op);

  Multigrid multigrid_;
  std::vector<double> residual_, correction_, direction_, image_, cell_residual_;
  std::vector<double> inverse_diagonal_;  // empty: multigrid
};

}  // namespace dryfront
