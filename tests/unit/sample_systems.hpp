// Linear systems the solvers are tried on: every kind of coefficient on every kind of grid.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "numerics/flux.hpp"
#include "random_fields.hpp"

namespace dryfront {

struct SampleSystem {
  std::string name;
  FluxOperator op;
  std::vector<double> right_side;
};

// The first five are what tissue does: layers, bodies that dried out, pieces of them. The last two change from cell to
// cell, which no field of the solver does; they are there to break things.
enum class Coefficient { even, layers, rings, dried, patches, jumps, inclusions };
inline constexpr Coefficient tissue_like[] = {Coefficient::even, Coefficient::layers, Coefficient::rings,
                                              Coefficient::dried, Coefficient::patches};
inline constexpr Coefficient every_kind[] = {Coefficient::even,      Coefficient::layers,  Coefficient::rings,
                                             Coefficient::dried,     Coefficient::patches, Coefficient::jumps,
                                             Coefficient::inclusions};

inline std::vector<double> sample_coefficient(const Grid& grid, Coefficient kind, Draws& draws) {
  std::vector<double> kappa(grid.cells(), 1.0);
  for (int j = 0; j < grid.rows(); ++j) {
    const double layer = j % 3 == 1 ? 1e-4 : 1.0;
    for (int i = 0; i < grid.columns(); ++i) {
      double& value = kappa[grid.index(i, j)];
      switch (kind) {
        case Coefficient::even:
          break;
        case Coefficient::layers:
          value = layer;
          break;
        case Coefficient::rings:
          value = i % 2 == 0 ? 1.0 : 1e-4;
          break;
        case Coefficient::dried: {  // a body of half the size with an edge ragged by a cell
          const double u = (i + draws.between(-1, 1)) / grid.columns(), v = (j + draws.between(-1, 1)) / grid.rows();
          value = u * u + v * v < 0.25 ? 1e-4 : 1.0;
          break;
        }
        case Coefficient::patches:
          break;
        case Coefficient::jumps:  // anything between 1e-4 and 1 in every cell
          value = draws.spread(1e-4, 1);
          break;
        case Coefficient::inclusions:  // one cell in three nearly insulating
          value = draws.uniform() < 1.0 / 3 ? 1e-4 : 1.0;
          break;
      }
    }
  }
  if (kind == Coefficient::patches) {  // rectangles a few cells wide, anywhere, a third of the cells in all
    for (std::size_t covered = 0; 3 * covered < grid.cells();) {
      const int width = 2 + static_cast<int>(draws.between(0, 7)), height = 2 + static_cast<int>(draws.between(0, 7));
      const int left = static_cast<int>(draws.between(0, grid.columns())),
                top = static_cast<int>(draws.between(0, grid.rows()));
      const double value = draws.spread(1e-4, 1e-2);
      for (int j = top; j < std::min(top + height, grid.rows()); ++j) {
        for (int i = left; i < std::min(left + width, grid.columns()); ++i, ++covered) kappa[grid.index(i, j)] = value;
      }
    }
  }
  return kappa;
}

inline const char* name_of(Coefficient kind) {
  constexpr const char* names[] = {"even", "layers", "rings", "dried", "patches", "jumps", "inclusions"};
  return names[static_cast<std::size_t>(kind)];
}

// Connected to V = 0 through the bottom and the side, driven through the top third, as the electric problem is;
// `storage` > 0 adds it to every cell, as a time step of the heat problem does.
inline SampleSystem sample_system(const Grid& grid, Coefficient kind, double storage, std::uint64_t seed) {
  Draws draws(seed);
  SampleSystem system;
  system.name = std::to_string(grid.columns()) + " x " + std::to_string(grid.rows()) + ", " + name_of(kind) +
                (storage > 0 ? ", storage" : "");
  system.op = FluxOperator(grid);
  const auto kappa = sample_coefficient(grid, kind, draws);
  set_conductances(grid, kappa, system.op);
  system.right_side.assign(grid.cells(), 0.0);
  const int last_row = grid.rows() - 1, last_column = grid.columns() - 1;
  for (int j = 0; j < grid.rows(); ++j) {
    const std::size_t c = grid.index(last_column, j);
    system.op.shunt[c] += radial_half_conductance(grid, kappa[c], last_column + 1, last_column, j);
  }
  for (int i = 0; i < grid.columns(); ++i) {
    const std::size_t bottom = grid.index(i, last_row), top = grid.index(i, 0);
    system.op.shunt[bottom] += axial_half_conductance(grid, kappa[bottom], i, last_row);
    if (3 * i > grid.columns()) continue;
    const double link = axial_half_conductance(grid, kappa[top], i, 0);
    system.op.shunt[top] += link;
    system.right_side[top] += link;
  }
  for (int j = 0; storage > 0 && j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const std::size_t c = grid.index(i, j);
      system.op.shunt[c] += storage * grid.volume(i, j);
      system.right_side[c] += storage * grid.volume(i, j) * draws.between(0, 1);
    }
  }
  return system;
}

// columns x rows cells; each cell `growth` times its neighbour, finest at the surface and in the middle of the radius.
inline Grid sample_grid(int columns, int rows, double growth) {
  const auto faces = [&](int cells, int finest) {
    std::vector<double> face{0.0};
    for (int k = 0; k < cells; ++k) face.push_back(face.back() + std::pow(growth, std::abs(k - finest)));
    const double length = face.back();
    for (double& x : face) x *= 0.04 / length;
    return face;
  };
  return Grid(faces(columns, columns / 2), faces(rows, 0));
}

}  // namespace dryfront
