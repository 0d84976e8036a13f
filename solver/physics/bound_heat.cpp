// The heat stage and its law where water boils off over a range of temperatures.
#include <algorithm>
#include <cmath>
#include <limits>

#include "physics/heat.hpp"

namespace dryfront {

double bound_enthalpy(const EnthalpyLaw& u, std::size_t c, double temperature) {
  const double begins = u.boiling_point[c];
  const double of_water = (u.wet[c] - u.dry[c]) / u.water[c];
  return u.wet[c] * (begins - u.start[c]) + u.dry[c] * (temperature - begins) +
         of_water * u.bound->integral(begins, temperature, u.spare[c]) +
         u.latent[c] * (1 - u.bound->water(temperature, u.spare[c]) / u.water[c]);
}

double bound_capacity(const EnthalpyLaw& u, std::size_t c, double temperature) {
  const double held = u.bound->water(temperature, u.spare[c]) / u.water[c];
  return u.dry[c] + (u.wet[c] - u.dry[c]) * held - u.latent[c] * u.bound->slope(temperature, u.spare[c]) / u.water[c];
}

// Y is convex in T up to the kink, but for a small one of the pores at 100 C, and concave above it: Newton's method
// comes from above in the first, from below in the second.
double bound_temperature(const EnthalpyLaw& u, std::size_t c, double heat) {
  constexpr int most_iterations = 60;
  constexpr double close = 1e-11;  // [K]
  const double begins = u.boiling_point[c];
  const double below_kink = std::nextafter(u.bound->kink(), 0.0);
  const bool in_onset = begins < below_kink && heat < bound_enthalpy(u, c, below_kink);
  const double least = in_onset ? begins : std::max(begins, u.bound->kink());
  const double most = in_onset ? below_kink : std::numeric_limits<double>::infinity();
  double temperature = least;
  for (int k = 0; k < most_iterations; ++k) {
    const double wanted = temperature + (heat - bound_enthalpy(u, c, temperature)) / bound_capacity(u, c, temperature);
    const double change = std::clamp(wanted, least, most) - temperature;
    temperature += change;
    if (std::abs(change) <= close) break;
  }
  return temperature;
}

// Storage over duration joins the shunt, that of every cell by the tangent of its law at the heat taken up.
void HeatStage::assemble_tangents(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                                  double duration, std::span<double> temperature, std::span<const double> heat_gained) {
  const std::size_t cells = heat.op.cells();
  const double rate = 1 / duration;
  for (std::size_t c = 0; c < heat.op.unknowns(); ++c) {
    tangent_at_[c] = temperature[c] = temperature_at_enthalpy(u, c, heat_gained[c]);
    const bool boils = u.latent[c] > 0 && temperature[c] > u.boiling_point[c];
    tangent_[c] = boils ? bound_capacity(u, c, temperature[c]) : u.wet[c];
    if (c < cells) {
      system_.shunt[c] = heat.op.shunt[c] + tangent_[c] * rate;
    } else {
      system_.node_shunt = heat.op.node_shunt + tangent_[c] * rate;
    }
    right_side_[c] = (tangent_[c] * tangent_at_[c] - heat_gained[c] + known[c]) * rate + heat.inflow[c];
  }
}

HeatStage::Report HeatStage::solve_bound(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                                         double duration, double allowed, std::span<double> temperature,
                                         std::span<double> heat_gained, std::span<double> face_temperature) {
  const std::size_t cells = heat.op.unknowns();
  for (auto* field : {&tangent_at_, &tangent_}) field->resize(cells);
  std::fill(phase_.begin(), phase_.end(), Phase::below);
  copy_faces(heat);
  const double allowed_energy = allowed_error(u, duration, allowed, temperature);
  for (std::size_t c = 0; c < cells; ++c) {
    const bool boils = u.latent[c] > 0 && temperature[c] > u.boiling_point[c];
    heat_gained[c] = boils ? bound_enthalpy(u, c, temperature[c]) : u.wet[c] * (temperature[c] - u.start[c]);
  }
  Report report;
  while (report.passes < most_passes) {
    ++report.passes;
    assemble_tangents(heat, u, known, duration, temperature, heat_gained);
    solver_.prepare(system_);
    const SolveReport linear = solver_.solve(system_, right_side_, allowed_energy, most_iterations, temperature);
    report.iterations += linear.iterations;
    if (!linear.converged) return report;
    double worst = 0;
    for (std::size_t c = 0; c < cells; ++c) {
      heat_gained[c] += tangent_[c] * (temperature[c] - tangent_at_[c]);
      worst = std::max(worst, std::abs(temperature[c] - temperature_at_enthalpy(u, c, heat_gained[c])));
    }
    if (!(worst <= allowed)) continue;
    // As in balance().
    const double shift = even_shift(temperature);
    for (std::size_t c = 0; c < cells; ++c) {
      temperature[c] += shift;
      heat_gained[c] += tangent_[c] * shift;
    }
    std::copy(temperature.begin(), temperature.end(), face_temperature.begin());
    for (std::size_t c = 0; c < cells; ++c) temperature[c] = temperature_at_enthalpy(u, c, heat_gained[c]);
    report.converged = true;
    return report;
  }
  return report;
}

}  // namespace dryfront
