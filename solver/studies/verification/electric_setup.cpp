#include "studies/verification/electric_setup.hpp"

#include <algorithm>
#include <cmath>

#include "studies/verification/setup.hpp"

namespace dryfront {

double Conducted::current_within(const Grid& grid, double radius) const {
  double within = 0, whole = 0;
  for (std::size_t f = 0; f < contact.faces.size(); ++f) {
    const ContactFace& face = contact.faces[f];
    const double gap = result.gap_voltage[f];
    const double link = (gap == 0 ? face.rim_factor : 1.0) * face.half_cell;
    const double current = link * conductivity_at_face * (result.rms - gap - result.potential[face.cell]);
    whole += current;
    if (grid.r()[face.cell % static_cast<std::size_t>(grid.columns())] < radius) within += current;
  }
  return within / whole;
}

Conducted conduct(const Grid& grid, ContactGeometry contact, FarVoltageCells far,
                  const std::function<double(double)>& conductivity, double conductance) {
  Conducted conducted;
  conducted.contact = std::move(contact);
  std::vector<double> sigma(grid.cells());
  for (std::size_t c = 0; c < sigma.size(); ++c) {
    sigma[c] = conductivity(grid.z()[c / static_cast<std::size_t>(grid.columns())]);
  }
  conducted.conductivity_at_face = sigma[conducted.contact.faces[0].cell];
  const std::vector<ContactLaw> laws(conducted.contact.faces.size(), ContactLaw{conductance, 0, 1});
  const StrikingTable never;
  Source source;
  source.kind = SourceKind::voltage;
  source.rms = 1;
  ElectricInput input;
  input.conductivity = sigma;
  if (conductance > 0) input.contact = laws;
  input.striking = &never;
  input.source = &source;
  ElectricSolver conduction(grid, conducted.contact, std::move(far));
  conduction.solve(input, conducted.result);
  if (!conducted.result.converged) throw NumericalFailure("the charge did not converge");
  return conducted;
}

ContactGeometry disc_contact(const Grid& grid, double a) {
  Electrode disc;
  disc.shape = ElectrodeShape::disc;
  disc.radius = a;
  return contact_geometry(grid, disc);
}

Grid disc_grid(double a, double radius, double depth, const std::vector<double>& stops, int level) {
  const Grading grading = graded_to_edge(a / 20, 1.3, std::max(a / 4, radius / 8), level);
  const double edge[] = {a};
  std::vector<double> marks = stops;
  marks.push_back(0);
  return Grid(graded_faces(0, radius, edge, edge, grading), graded_faces(0, depth, stops, marks, grading));
}

}  // namespace dryfront
