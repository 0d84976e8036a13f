#include "numerics/elliptic_solver.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace dryfront {

namespace {

// Four partial sums in a fixed order: vectorised by hand-written order, the same bits everywhere.
double dot(const std::vector<double>& a, const std::vector<double>& b) {
  constexpr std::size_t lanes = 8;
  double sum[lanes] = {};
  const std::size_t whole = a.size() / lanes * lanes;
  for (std::size_t k = 0; k < whole; k += lanes) {
    for (std::size_t l = 0; l < lanes; ++l) sum[l] += a[k + l] * b[k + l];
  }
  double total = 0;
  for (double s : sum) total += s;
  for (std::size_t k = whole; k < a.size(); ++k) total += a[k] * b[k];
  return total;
}

}  // namespace

EllipticSolver::EllipticSolver(int columns, int rows) : multigrid_(columns, rows) {
  const auto cells = static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
  for (auto* field : {&residual_, &correction_, &direction_, &image_}) {
    field->reserve(cells + 1);  // with a node
    field->assign(cells, 0.0);
  }
  cell_residual_.assign(cells, 0.0);
}

void EllipticSolver::prepare_diagonal(const FluxOperator& op) {
  assert(!op.has_node);
  inverse_diagonal_.resize(op.cells());
  for (std::size_t c = 0; c < op.cells(); ++c) inverse_diagonal_[c] = 1 / (op.shunt[c] + through_faces(op, c));
}

// correction_ = M^-1 residual_
void EllipticSolver::precondition(const FluxOperator& op) {
  if (!inverse_diagonal_.empty()) {
    for (std::size_t c = 0; c < correction_.size(); ++c) correction_[c] = inverse_diagonal_[c] * residual_[c];
    return;
  }
  if (!op.has_node) {
    multigrid_.cycle(residual_, correction_);
    return;
  }
  const std::size_t cells = op.cells();
  const double first = residual_[cells] / op.node_shunt;
  std::copy_n(residual_.begin(), cells, cell_residual_.begin());
  for (const NodeLink& link : op.node_links) cell_residual_[link.cell] += link.conductance * first;
  multigrid_.cycle(cell_residual_, std::span<double>(correction_).first(cells));
  double into_node = residual_[cells];
  for (const NodeLink& link : op.node_links) into_node += link.conductance * correction_[link.cell];
  correction_[cells] = into_node / op.node_shunt;
}

SolveReport EllipticSolver::solve(const FluxOperator& op, std::span<const double> right_side, double allowed,
                                  int most_iterations, std::span<double> x) {
  const std::size_t cells = op.unknowns();
  for (auto* field : {&residual_, &correction_, &direction_, &image_}) field->resize(cells);
  apply(op, x, residual_);
  for (std::size_t c = 0; c < cells; ++c) residual_[c] = right_side[c] - residual_[c];
  SolveReport report;
  double previous = 0;
  for (;;) {
    precondition(op);
    const double now = dot(residual_, correction_);
    report.error = std::sqrt(std::abs(now));
    if (!std::isfinite(now)) return report;
    if (now < 0 && report.error > allowed) return report;  // the matrix is not positive definite
    if (report.error <= allowed) {
      // The last correction is free: it is already computed.
      for (std::size_t c = 0; c < cells; ++c) x[c] += correction_[c];
      report.converged = true;
      return report;
    }
    if (report.iterations == most_iterations) return report;
    ++report.iterations;
    const double keep = previous > 0 ? now / previous : 0.0;
    for (std::size_t c = 0; c < cells; ++c) direction_[c] = correction_[c] + keep * direction_[c];
    apply(op, direction_, image_);
    const double step = now / dot(direction_, image_);
    for (std::size_t c = 0; c < cells; ++c) x[c] += step * direction_[c];
    for (std::size_t c = 0; c < cells; ++c) residual_[c] -= step * image_[c];
    previous = now;
  }
}

}  // namespace dryfront
