// The one flux operator: charge, heat and moisture all move through the same faces.
#pragma once

#include <span>
#include <vector>

#include "numerics/grid.hpp"

namespace dryfront {

// A link between a cell and a node outside the grid.
struct NodeLink {
  std::size_t cell = 0;
  double conductance = 0;
};

// Conductances between the cells of a grid and from each cell to a fixed outside value. Symmetric by construction:
//   outflow(c) = shunt[c] x[c] + sum over neighbours n of g(c, n) (x[c] - x[n])
// A body of one temperature outside the grid can be an unknown too, the node, linked to some cells. It stands behind
// the cells in x and outflow; the conductances of its links are part of the cells' shunts and of its own:
//   outflow(node) = node_shunt x[node] - sum over links g x[cell],   outflow(cell) as above, less g x[node]
struct FluxOperator {
  int columns = 0;
  int rows = 0;
  std::vector<double> east;   // between (i, j) and (i + 1, j); 0 in the last column
  std::vector<double> south;  // between (i, j) and (i, j + 1); 0 in the last row
  std::vector<double> shunt;  // to the outside, or storage; >= 0
  bool has_node = false;
  std::vector<NodeLink> node_links;
  double node_shunt = 0;

  FluxOperator() = default;
  explicit FluxOperator(const Grid& grid);
  std::size_t cells() const { return shunt.size(); }
  std::size_t unknowns() const { return cells() + (has_node ? 1 : 0); }
};

// Fills east and south for a coefficient given per cell (sigma, k, W0 D): two half cells in series, the harmonic mean
// weighted by distance, exact for a layer whose interface lies on a face. shunt is left alone.
//   g_east = A / (d_c / kappa_c + d_e / kappa_e)
void set_conductances(const Grid& grid, std::span<const double> coefficient, FluxOperator& op);

// Calls visit(neighbour, conductance&) for every neighbour of a cell.
template <typename Visit>
void for_each_face(FluxOperator& op, std::size_t cell, Visit visit) {
  const auto columns = static_cast<std::size_t>(op.columns);
  if (cell % columns + 1 < columns) visit(cell + 1, op.east[cell]);
  if (cell % columns > 0) visit(cell - 1, op.east[cell - 1]);
  if (cell + columns < op.east.size()) visit(cell + columns, op.south[cell]);
  if (cell >= columns) visit(cell - columns, op.south[cell - columns]);
}

// Sum of the conductances of a cell's faces.
inline double through_faces(const FluxOperator& op, std::size_t cell) {
  const auto columns = static_cast<std::size_t>(op.columns);
  double sum = op.east[cell] + op.south[cell];
  if (cell > 0) sum += op.east[cell - 1];  // 0 in the last column
  if (cell >= columns) sum += op.south[cell - columns];
  return sum;
}

// Closes all faces of a cell: nothing flows between it and its neighbours.
void isolate(FluxOperator& op, std::size_t cell);

// outflow = op applied to x.
void apply(const FluxOperator& op, std::span<const double> x, std::span<double> outflow);

// Conductance of the half cell between the centre and a face z = const of column i, row j.
double axial_half_conductance(const Grid& grid, double coefficient, int i, int j);
// Conductance of the half cell between the centre and the face r_face[face] beside row j.
double radial_half_conductance(const Grid& grid, double coefficient, int face, int i, int j);

// Dissipation of the flux in each cell: the power lost across a face, shared between its two half cells in proportion
// to their resistances. Summed with the losses in the shunts this is exactly sum x * outflow.   added to `dissipation`
void add_dissipation(const Grid& grid, const FluxOperator& op, std::span<const double> coefficient,
                     std::span<const double> x, std::span<double> dissipation);

}  // namespace dryfront
