// The exact flux at the rim of a contact, where the potential goes like the square root of the distance.
#pragma once

#include <cstddef>
#include <vector>

#include "numerics/flux.hpp"

namespace dryfront {

// At the rim of a face held at V_e in an insulated surface, V_e - V = c Re sqrt(x + i z) + smoother terms, x the
// distance from the rim along the surface, positive outside (Weber 1873, from memory). Differences between cell centres
// miss this flux by tens of per cent beside the rim. Its exact flux through a face is a difference of the conjugate
// function Im sqrt(x + i z) between the face's ends; the factor is that over what the differences give.
struct FaceFactor {
  std::size_t cell = 0;  // the face between this cell ...
  bool east = false;     // ... and its neighbour in r (true) or z (false)
  double factor = 1;
};

struct RimFactors {
  std::vector<FaceFactor> faces;
  std::vector<double> half_cell;  // per column: of the half cell below the surface z = 0
};

// Factors for the faces within `reach` of a rim at the given radius; `covered_inside` tells on which side the contact
// lies. Multiplies into `factors`, whose half_cell has one entry per column.
void add_rim(const Grid& grid, double radius, bool covered_inside, double reach, RimFactors& factors);

// op's conductances times the factors.
void apply_factors(const RimFactors& factors, FluxOperator& op);

}  // namespace dryfront
