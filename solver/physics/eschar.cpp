#include "physics/eschar.hpp"

#include <cmath>

namespace dryfront {

void grow_eschar(const ContactGeometry& contact, const TissueRows& rows, const Physics& physics, double dt,
                 std::span<const double> before, const SparkHeat& start, const SparkHeat& end,
                 std::span<double> after) {
  for (std::size_t f = 0; f < contact.faces.size(); ++f) {
    const ContactFace& face = contact.faces[f];
    const Tissue& tissue = rows.at(face.row);
    const double eschar_heat = initial_water(tissue) * tissue.latent * physics.eschar_thickness;
    const double spark_heat = 0.5 * dt * (start.spark[f] + end.spark[f]) / face.area;
    const double root_heat = 0.5 * dt * (start.root[f] + end.root[f]) / face.area;
    after[f] = 1 - (1 - before[f]) * std::exp(-(physics.spark_heat_share * spark_heat + root_heat) / eschar_heat);
  }
}

}  // namespace dryfront
