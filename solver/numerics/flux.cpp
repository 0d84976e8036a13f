#include "numerics/flux.hpp"

#include <cassert>

namespace dryfront {

FluxOperator::FluxOperator(const Grid& grid)
    : columns(grid.columns()),
      rows(grid.rows()),
      east(grid.cells(), 0.0),
      south(grid.cells(), 0.0),
      shunt(grid.cells(), 0.0) {}

double axial_half_conductance(const Grid& grid, double coefficient, int i, int j) {
  return coefficient * grid.axial_area(i) / (0.5 * grid.height(j));
}

double radial_half_conductance(const Grid& grid, double coefficient, int face, int i, int j) {
  return coefficient * grid.radial_area(face, j) / (0.5 * grid.width(i));
}

void set_conductances(const Grid& grid, std::span<const double> coefficient, FluxOperator& op) {
  assert(coefficient.size() == grid.cells());
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i + 1 < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      const double here = coefficient[c];
      const double there = coefficient[c + 1];
      // a/(b + c) with the division by the coefficients multiplied out, so that a coefficient of zero closes the face
      op.east[c] =
          2 * grid.radial_area(i + 1, j) * here * there / (grid.width(i) * there + grid.width(i + 1) * here + 1e-300);
    }
  }
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (int j = 0; j + 1 < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      const double here = coefficient[c];
      const double there = coefficient[c + columns];
      op.south[c] =
          2 * grid.axial_area(i) * here * there / (grid.height(j) * there + grid.height(j + 1) * here + 1e-300);
    }
  }
}

void isolate(FluxOperator& op, std::size_t cell) {
  for_each_face(op, cell, [](std::size_t, double& conductance) { conductance = 0; });
}

void apply(const FluxOperator& op, std::span<const double> x, std::span<double> outflow) {
  const auto columns = static_cast<std::size_t>(op.columns);
  const auto rows = static_cast<std::size_t>(op.rows);
  const double* east = op.east.data();
  const double* south = op.south.data();
  const double* shunt = op.shunt.data();
  for (std::size_t j = 0; j < rows; ++j) {
    const std::size_t row = j * columns;
    const double* here = x.data() + row;
    double* out = outflow.data() + row;
    for (std::size_t i = 0; i < columns; ++i) out[i] = shunt[row + i] * here[i];
    for (std::size_t i = 0; i + 1 < columns; ++i) out[i] += east[row + i] * (here[i] - here[i + 1]);
    for (std::size_t i = 1; i < columns; ++i) out[i] += east[row + i - 1] * (here[i] - here[i - 1]);
    if (j + 1 < rows) {
      for (std::size_t i = 0; i < columns; ++i) out[i] += south[row + i] * (here[i] - here[i + columns]);
    }
    if (j > 0) {
      const double* above = here - columns;
      const double* north = south + row - columns;
      for (std::size_t i = 0; i < columns; ++i) out[i] += north[i] * (here[i] - above[i]);
    }
  }
  if (!op.has_node) return;
  const double node = x[op.cells()];
  double from_node = op.node_shunt * node;
  for (const NodeLink& link : op.node_links) {
    outflow[link.cell] -= link.conductance * node;
    from_node -= link.conductance * x[link.cell];
  }
  outflow[op.cells()] = from_node;
}

void add_dissipation(const Grid& grid, const FluxOperator& op, std::span<const double> coefficient,
                     std::span<const double> x, std::span<double> dissipation) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  const auto share = [&](std::size_t here, std::size_t there, double conductance, double half_here, double half_there) {
    const double power = conductance * (x[here] - x[there]) * (x[here] - x[there]);
    if (power == 0) return;
    dissipation[here] += power * half_there / (half_here + half_there);
    dissipation[there] += power * half_here / (half_here + half_there);
  };
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i + 1 < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      share(c, c + 1, op.east[c], radial_half_conductance(grid, coefficient[c], i + 1, i, j),
            radial_half_conductance(grid, coefficient[c + 1], i + 1, i + 1, j));
    }
  }
  for (int j = 0; j + 1 < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      share(c, c + columns, op.south[c], axial_half_conductance(grid, coefficient[c], i, j),
            axial_half_conductance(grid, coefficient[c + columns], i, j + 1));
    }
  }
}

}  // namespace dryfront
