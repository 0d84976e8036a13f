#include "physics/moisture.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

Moisture::Moisture(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact)
    : grid_(grid), rows_(rows), solver_(grid.columns(), grid.rows()), op_(grid), system_(grid) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  std::vector<double> diffusivity;
  for (int j = 0; j < grid.rows(); ++j) {
    const Tissue& tissue = rows.at(static_cast<std::size_t>(j));
    for (int i = 0; i < grid.columns(); ++i) {
      diffusivity.push_back(initial_water(tissue) * tissue.moisture);
      capacity_.push_back(initial_water(tissue) * grid.volume(i, j));
      heat_wet_.push_back(heat_capacity(tissue, 1.0) * grid.volume(i, j));
    }
  }
  set_conductances(grid, diffusivity, op_);
  for (std::size_t cell : contact.metal) {
    op_.east[cell] = op_.south[cell] = 0;
    if (cell % columns > 0) op_.east[cell - 1] = 0;
    if (cell >= columns) op_.south[cell - columns] = 0;
  }
  for (auto* field : {&right_side_, &solved_, &enthalpy_, &inflow_}) field->assign(grid.cells(), 0.0);
}

Moisture::Report Moisture::advance(double dt, std::span<double> water, std::span<double> temperature) {
  constexpr double allowed_water = 1e-9;
  constexpr int most_iterations = 100;
  const std::size_t cells = grid_.cells();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  if (std::all_of(water.begin(), water.end(), [&](double s) { return s == water[0]; })) return {0, true};

  const double rate = 1 / dt;
  double least = capacity_[0];
  for (std::size_t c = 0; c < cells; ++c) {
    system_.east[c] = op_.east[c];
    system_.south[c] = op_.south[c];
    system_.shunt[c] = capacity_[c] * rate;
    right_side_[c] = system_.shunt[c] * water[c];
    solved_[c] = water[c];
    least = std::min(least, capacity_[c]);
  }
  solver_.prepare(system_);
  const SolveReport report =
      solver_.solve(system_, right_side_, allowed_water * std::sqrt(least * rate), most_iterations, solved_);
  if (!report.converged) return {report.iterations, false};

  // The faces' flows, not the solution, move the water: what leaves one cell enters the other.
  std::fill(inflow_.begin(), inflow_.end(), 0.0);
  std::fill(enthalpy_.begin(), enthalpy_.end(), 0.0);
  const auto move = [&](std::size_t from, std::size_t to, double conductance) {
    double mass = conductance * (solved_[from] - solved_[to]) * dt;
    if (mass == 0) return;
    if (mass < 0) {
      std::swap(from, to);
      mass = -mass;
    }
    const Tissue& tissue = rows_.at(from / columns);
    const double carried = mass * heat_wet_[from] * (1 - tissue.dry_heat_ratio) / capacity_[from] *
                           (temperature[from] - tissue.boil);
    inflow_[from] -= mass;
    inflow_[to] += mass;
    enthalpy_[from] -= carried;
    enthalpy_[to] += carried;
  };
  for (std::size_t c = 0; c < cells; ++c) {
    if (c % columns + 1 < columns) move(c, c + 1, op_.east[c]);
    if (c + columns < cells) move(c, c + columns, op_.south[c]);
  }
  for (std::size_t c = 0; c < cells; ++c) {
    if (inflow_[c] == 0 && enthalpy_[c] == 0) continue;
    const Tissue& tissue = rows_.at(c / columns);
    const auto capacity = [&](double s) {
      return heat_wet_[c] * (tissue.dry_heat_ratio + s * (1 - tissue.dry_heat_ratio));
    };
    const double above_boil = capacity(water[c]) * (temperature[c] - tissue.boil) + enthalpy_[c];
    water[c] += inflow_[c] / capacity_[c];
    temperature[c] = tissue.boil + above_boil / capacity(water[c]);
  }
  return {report.iterations, true};
}

}  // namespace dryfront
