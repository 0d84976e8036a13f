#include "studies/verification/setup.hpp"

#include <cmath>

#include "numerics/grid_point.hpp"
#include "physics/mechanism.hpp"

namespace dryfront {

std::vector<double> equal_faces(double end, int cells) {
  std::vector<double> faces;
  for (int k = 0; k <= cells; ++k) faces.push_back(end * k / cells);
  return faces;
}

std::vector<double> growing_faces(double size, double equal_to, double growth, double end) {
  std::vector<double> faces = equal_faces(equal_to, static_cast<int>(std::lround(equal_to / size)));
  const double mark[] = {equal_to};
  const std::vector<double> outside = graded_faces(equal_to, end, {}, mark, {size, growth, end});
  faces.insert(faces.end(), outside.begin() + 1, outside.end());
  return faces;
}

Grading graded_to_edge(double fine, double growth, double coarse, int level) {
  return {std::ldexp(fine, -2 * level), 1 + std::ldexp(growth - 1, -level), std::ldexp(coarse, -level)};
}

Tissue constant_tissue(double conductivity, double conduction, double volumetric_heat) {
  Tissue tissue;
  tissue.conductivity = conductivity;
  tissue.conductivity_per_C = 0;
  tissue.conduction = tissue.dry_conduction = conduction;
  tissue.density = 1000;
  tissue.specific_heat = volumetric_heat / tissue.density;
  tissue.dry_heat_ratio = 1;
  tissue.moisture = 0;
  return tissue;
}

Case plain_case(const Tissue& tissue, double radius, double depth, double rms) {
  Case c;
  c.specimen.layers = {{tissue, depth}};
  c.specimen.radius = radius;
  c.specimen.depth = depth;
  c.specimen.start = c.specimen.surroundings = 37;
  c.specimen.air_heat_transfer = 0;
  c.specimen.side_voltage = FarVoltage::insulated;
  c.specimen.bottom_voltage = FarVoltage::grounded;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::insulated;
  c.electrode.shape = ElectrodeShape::disc;
  c.electrode.radius = radius;
  c.electrode.contact = ContactKind::perfect;
  c.electrode.heat = ElectrodeHeat::insulated;
  for (const Mechanism& mechanism : mechanisms) c.physics.*mechanism.is_on = false;
  c.physics.spark_law = SparkLaw::area;
  Mode mode;
  mode.name = "mode";
  mode.source.kind = SourceKind::voltage;
  mode.source.rms = rms;
  c.modes = {mode};
  return c;
}

Bench::Bench(Case c, Grid grid) : case_(std::move(c)), grid_(std::move(grid)), stepper_(case_, grid_, case_.modes[0]) {}

State Bench::start(bool current_on) {
  State state = stepper_.initial_state();
  if (stepper_.switch_current(state, current_on).what != nullptr)
    throw NumericalFailure("charge did not converge at the start");
  return state;
}

void Bench::march(State& state, double until, int steps, const std::function<void(State&, double)>& before) {
  const auto end = static_cast<Ticks>(std::llround(until * ticks_per_second));
  for (int left = steps; left > 0; --left) {
    const Ticks duration = (end - state.time) / left;
    if (before) before(state, seconds(duration));
    const StepReport report = stepper_.step(state, duration, next_);
    if (!report.converged()) {
      throw NumericalFailure(std::string(report.failure.what) +
                             " did not converge at t = " + std::to_string(seconds(state.time)) + " s");
    }
    std::swap(state, next_);
  }
}

double at_point(const Grid& grid, const std::vector<double>& field, double r, double z) {
  return GridPoint(grid, r, z).at([&](std::size_t cell) { return field[cell]; });
}

}  // namespace dryfront
