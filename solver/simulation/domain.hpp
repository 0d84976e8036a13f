// The specimen and its electrode on the grid: what every part of a step looks at and none changes.
#pragma once

#include <vector>

#include "numerics/grid.hpp"
#include "physics/bound_water.hpp"
#include "physics/contact.hpp"
#include "simulation/case.hpp"
#include "simulation/state.hpp"

namespace dryfront {

// The tissue of every row: that of the layer its centre lies in.
TissueRows tissue_rows(const Specimen& specimen, const Grid& grid);

// The case and the grid must outlive it.
struct Domain {
  Domain(const Case& c, const Grid& on);

  const Grid& grid;
  const Specimen& specimen;
  const Electrode& electrode;
  const Physics& physics;
  // With bound water their boiling_point is 100 C: where sigma and k cease to rise, and from where enthalpies count.
  // With vapour their k does not rise otherwise.
  TissueRows rows;
  ContactGeometry contact;
  BoundWater bound_water;
  std::vector<double> volume;  // per cell [m3]
  bool perfused = false;       // blood flows in some row

  std::size_t cells() const { return volume.size(); }
  // What the gas space can hold beside the initial water, as a share of that: none without vapour [-]
  double spare_room(const Tissue& tissue) const { return physics.vapour ? tissue.gas_fraction : 0.0; }
  double spare_room(std::size_t cell) const { return spare_room(tissue(cell)); }
  const Tissue& tissue(std::size_t cell) const { return rows.at(cell / static_cast<std::size_t>(grid.columns())); }
};

// Heat counted from the boiling point, sum of C(s)(T - T_b) over the tissue   [J]
double stored_heat(const Domain& domain, const Fields& fields);
// Water in the tissue   [kg]
double stored_water(const Domain& domain, const Fields& fields);
// How much water a cell can hold at a temperature   [-]
double most_water(const Domain& domain, std::size_t cell, double temperature);
// Mean over the contact area of a value per contact face.
double contact_mean(const ContactGeometry& contact, std::span<const double> per_face);

}  // namespace dryfront
