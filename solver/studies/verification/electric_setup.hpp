// One electric solve of a given geometry, for the checks.
#pragma once

#include <functional>
#include <vector>

#include "physics/electric.hpp"

namespace dryfront {

struct Conducted {
  ElectricState result;
  ContactGeometry contact;
  double conductivity_at_face = 0;  // of the tissue under the first face [S/m]

  // Current through the faces whose centre lies within a radius, over the whole [-]
  double current_within(const Grid& grid, double radius) const;
};

// conductivity: of a depth z [m]. conductance of the contact [S/m2], 0 for a perfect one. V_e = 1 V.
// Throws NumericalFailure.
Conducted conduct(const Grid& grid, ContactGeometry contact, FarVoltageCells far,
                  const std::function<double(double)>& conductivity, double conductance = 0);

// A disc of radius a on z = 0.
ContactGeometry disc_contact(const Grid& grid, double a);

// The grid of a disc of radius a on a cylinder: family `level` of graded_to_edge, layers end at `stops` in z.
Grid disc_grid(double a, double radius, double depth, const std::vector<double>& stops, int level);

}  // namespace dryfront
