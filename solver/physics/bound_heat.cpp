// The heat stage and its law where water boils off over a range of temperatures.
#include <algorithm>
#include <cmath>
#include <limits>

#include "physics/heat.hpp"

namespace dryfront {

double bound_boiling_point(const EnthalpyLaw& u, std::size_t c) {
  if (u.exact[c] != 0) return u.boiling_point[c];
  return u.bound->temperature(u.water[c], u.spare[c]);
}

namespace {

// Above T_b, which is at hand.
BoundHeat boiling_enthalpy(const EnthalpyLaw& u, std::size_t c, double begins, double temperature) {
  const double of_water = (u.wet[c] - u.dry[c]) / u.water[c], of_loss = u.latent[c] / u.water[c];
  const BoundWater::Held held = u.bound->held(temperature, u.spare[c]);
  return {u.wet[c] * (begins - u.start[c]) + u.dry[c] * (temperature - begins) +
              of_water * u.bound->integral(begins, temperature, u.spare[c]) + of_loss * (u.water[c] - held.water),
          u.dry[c] + of_water * held.water - of_loss * held.slope};
}

}  // namespace

BoundHeat bound_enthalpy(const EnthalpyLaw& u, std::size_t c, double temperature) {
  if (u.latent[c] > 0 && temperature > u.boiling_point[c]) {
    const double begins = bound_boiling_point(u, c);
    if (temperature > begins) return boiling_enthalpy(u, c, begins, temperature);
  }
  return {u.wet[c] * (temperature - u.start[c]), u.wet[c]};
}

// Above T_b, Y is convex in T up to the kink, but for a small one of the pores at 100 C, and concave above it: Newton's
// method comes from above in the first, from below in the second, after one step at most from the other side.
double bound_temperature(const EnthalpyLaw& u, std::size_t c, double heat, double guess) {
  constexpr int most_iterations = 60;
  constexpr double close = 1e-9;  // before the last step; after it, by the square of this [K]
  const double below = u.start[c] + heat / u.wet[c];
  if (u.latent[c] <= 0 || below <= u.boiling_point[c]) return below;
  const double begins = bound_boiling_point(u, c);
  if (below <= begins) return below;
  const double kink = u.bound->kink(), below_kink = std::nextafter(kink, 0.0);
  const bool in_onset = begins < below_kink && heat < boiling_enthalpy(u, c, begins, below_kink).heat;
  const double least = in_onset ? begins : std::max(begins, kink);
  const double most = in_onset ? below_kink : std::numeric_limits<double>::infinity();
  double temperature = std::clamp(guess, least, most);
  for (int k = 0; k < most_iterations; ++k) {
    const BoundHeat at = boiling_enthalpy(u, c, begins, temperature);
    const double wanted = std::clamp(temperature + (heat - at.heat) / at.capacity, least, most);
    const double change = wanted - temperature;
    temperature = wanted;
    if (std::abs(change) <= close) break;
  }
  return temperature;
}

// Storage over duration joins the shunt, that of every cell by the tangent of its law at the heat taken up.
void HeatStage::assemble_tangents(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                                  double duration, std::span<const double> heat_gained) {
  const std::size_t cells = heat.op.cells();
  const double rate = 1 / duration;
  for (std::size_t c = 0; c < heat.op.unknowns(); ++c) {
    tangent_[c] = tangent_at_[c] > u.boiling_point[c] ? bound_enthalpy(u, c, tangent_at_[c]).capacity : u.wet[c];
    if (c < cells) {
      system_.shunt[c] = heat.op.shunt[c] + tangent_[c] * rate;
    } else {
      system_.node_shunt = heat.op.node_shunt + tangent_[c] * rate;
    }
    right_side_[c] = (tangent_[c] * tangent_at_[c] - heat_gained[c] + known[c]) * rate + heat.inflow[c];
  }
}

// Multigrid set up for the tangents of the first pass is good for those that follow, which are next to them.
HeatStage::Report HeatStage::solve_bound(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                                         double duration, double allowed, std::span<double> temperature,
                                         std::span<double> heat_gained, std::span<double> face_temperature) {
  constexpr int passes_prepared = 3;
  const std::size_t cells = heat.op.unknowns();
  for (auto* field : {&tangent_at_, &tangent_}) field->resize(cells);
  std::fill(phase_.begin(), phase_.end(), Phase::below);
  copy_faces(heat);
  const double allowed_energy = allowed_error(u, duration, allowed, temperature);
  std::copy(temperature.begin(), temperature.end(), tangent_at_.begin());
  for (std::size_t c = 0; c < cells; ++c) heat_gained[c] = bound_enthalpy(u, c, temperature[c]).heat;
  Report report;
  while (report.passes < most_passes) {
    assemble_tangents(heat, u, known, duration, heat_gained);
    if (report.passes % passes_prepared == 0) solver_.prepare(system_);
    ++report.passes;
    const SolveReport linear = solver_.solve(system_, right_side_, allowed_energy, most_iterations, temperature);
    report.iterations += linear.iterations;
    if (!linear.converged) return report;
    double worst = 0;
    for (std::size_t c = 0; c < cells; ++c) {
      heat_gained[c] += tangent_[c] * (temperature[c] - tangent_at_[c]);
      tangent_at_[c] = bound_temperature(u, c, heat_gained[c], temperature[c]);
      worst = std::max(worst, std::abs(temperature[c] - tangent_at_[c]));
    }
    if (!(worst <= allowed)) {
      std::copy(tangent_at_.begin(), tangent_at_.end(), temperature.begin());
      continue;
    }
    // As in balance().
    const double shift = even_shift(temperature);
    for (std::size_t c = 0; c < cells; ++c) {
      temperature[c] += shift;
      heat_gained[c] += tangent_[c] * shift;
    }
    std::copy(temperature.begin(), temperature.end(), face_temperature.begin());
    for (std::size_t c = 0; c < cells; ++c) {
      temperature[c] = bound_temperature(u, c, heat_gained[c], tangent_at_[c] + shift);
    }
    report.converged = true;
    return report;
  }
  return report;
}

}  // namespace dryfront
