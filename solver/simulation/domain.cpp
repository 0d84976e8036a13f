#include "simulation/domain.hpp"

#include <algorithm>

namespace dryfront {

TissueRows tissue_rows(const Specimen& specimen, const Grid& grid) {
  TissueRows rows;
  for (const Layer& layer : specimen.layers) rows.tissue.push_back(layer.tissue);
  std::size_t layer = 0;
  double bottom = specimen.layers[0].thickness;
  for (double z : grid.z()) {
    while (layer + 1 < specimen.layers.size() && z > bottom) bottom += specimen.layers[++layer].thickness;
    rows.of_row.push_back(layer);
  }
  return rows;
}

Domain::Domain(const Case& c, const Grid& on)
    : grid(on),
      specimen(c.specimen),
      electrode(c.electrode),
      physics(c.physics),
      rows(tissue_rows(c.specimen, on)),
      contact(contact_geometry(on, c.electrode)),
      bound_water(c.physics.bound_onset_width, c.physics.bound_tail_width) {
  constexpr double rises_up_to = 100;  // [C]
  if (physics.bound_water) {
    for (Tissue& tissue : rows.tissue) tissue.boiling_point = rises_up_to;
  }
  if (physics.vapour) {
    for (Tissue& tissue : rows.tissue) tissue.conduction_per_C = 0;
  }
  for (int j = 0; j < grid.rows(); ++j) {
    perfused = perfused || (physics.perfusion && rows.at(static_cast<std::size_t>(j)).perfusion > 0);
    for (int i = 0; i < grid.columns(); ++i) volume.push_back(grid.volume(i, j));
  }
}

double stored_heat(const Domain& domain, const Fields& fields) {
  double sum = 0;
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    if (domain.contact.is_metal[c]) continue;
    const Tissue& tissue = domain.tissue(c);
    sum += heat_capacity(tissue, fields.water[c]) * domain.volume[c] * (fields.temperature[c] - tissue.boiling_point);
  }
  return sum;
}

double stored_water(const Domain& domain, const Fields& fields) {
  double sum = 0;
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    if (!domain.contact.is_metal[c]) sum += initial_water(domain.tissue(c)) * domain.volume[c] * fields.water[c];
  }
  return sum;
}

double most_water(const Domain& domain, std::size_t cell, double temperature) {
  const double spare = domain.spare_room(cell);
  if (!domain.physics.bound_water) return 1 + spare;
  return std::min(1 + spare, domain.bound_water.water(temperature, spare));
}

double contact_mean(const ContactGeometry& contact, std::span<const double> per_face) {
  double sum = 0;
  for (std::size_t f = 0; f < contact.faces.size(); ++f) sum += per_face[f] * contact.faces[f].area;
  return sum / contact.area;
}

}  // namespace dryfront
