#include "physics/water.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

namespace {

constexpr double margin = 1e-6;  // of the linear solver

}  // namespace

Moisture::Moisture(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact,
                   std::span<const double> most, double counts_as_dry, FlowTime taken)
    : grid_(grid),
      rows_(rows),
      counts_as_dry_(counts_as_dry),
      taken_(taken),
      solver_(grid.columns(), grid.rows()),
      op_(grid),
      system_(grid),
      flow_(grid),
      bounds_(grid) {
  std::vector<double> diffusivity;
  for (int j = 0; j < grid.rows(); ++j) {
    const Tissue& tissue = rows.at(static_cast<std::size_t>(j));
    most_.push_back(most[rows.of_row[static_cast<std::size_t>(j)]]);
    for (int i = 0; i < grid.columns(); ++i) {
      diffusivity.push_back(initial_water(tissue) * tissue.moisture);
      capacity_.push_back(initial_water(tissue) * grid.volume(i, j));
      heat_wet_.push_back(heat_capacity(tissue, 1.0) * grid.volume(i, j));
    }
  }
  set_conductances(grid, diffusivity, op_);
  for (std::size_t cell : contact.metal) isolate(op_, cell);
  for (auto* field : {&right_side_, &solved_, &may_gain_}) field->assign(grid.cells(), 0.0);
}

Moisture::Report Moisture::flow(double dt, std::span<const double> water, std::span<const double> boil_rate,
                                std::span<const double> temperature, std::span<double> inflow,
                                std::span<double> enthalpy) {
  if (std::all_of(water.begin(), water.end(), [&](double s) { return s == water[0]; })) {
    std::fill(inflow.begin(), inflow.end(), 0.0);
    std::fill(enthalpy.begin(), enthalpy.end(), 0.0);
    return {0, true};
  }
  Report report = flow_at(taken_ == FlowTime::middle ? 0.5 * dt : dt, dt, water, boil_rate, temperature);
  if (!report.converged) return report;
  sum_up(temperature, inflow, enthalpy);
  bool outside = false;  // then the flow at the end is taken
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < water.size(); ++c) {
    const double after = water[c] + inflow[c];
    const bool stays_dry = water[c] <= counts_as_dry_ && temperature[c] >= rows_.at(c / columns).boiling_point;
    // What boils off meanwhile makes room for what flows in.
    outside = outside || after < 0 || (after - dt * boil_rate[c] > most_[c / columns] + margin && !stays_dry);
  }
  if (outside && taken_ == FlowTime::middle) {
    const Report end = flow_at(dt, dt, water, boil_rate, temperature);
    report.iterations += end.iterations;
    report.converged = end.converged;
    if (!report.converged) return report;
    sum_up(temperature, inflow, enthalpy);
  }
  if (bound_gains(dt, water, boil_rate, inflow)) sum_up(temperature, inflow, enthalpy);
  return report;
}

Moisture::Report Moisture::flow_at(double time, double dt, std::span<const double> water,
                                   std::span<const double> boil_rate, std::span<const double> temperature) {
  constexpr double allowed_water = 1e-9;
  constexpr int most_iterations = 100;
  const std::size_t cells = grid_.cells();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  const double rate = 1 / time;
  double least = capacity_[0];
  std::copy(op_.east.begin(), op_.east.end(), system_.east.begin());
  std::copy(op_.south.begin(), op_.south.end(), system_.south.begin());
  for (std::size_t c = 0; c < cells; ++c) {
    system_.shunt[c] = capacity_[c] * rate;
    const double start = std::max(0.0, water[c] - time * boil_rate[c]);
    right_side_[c] = system_.shunt[c] * start;
    solved_[c] = start;
    least = std::min(least, capacity_[c]);
  }
  for (std::size_t c = 0; c < cells; ++c) {
    if (water[c] > counts_as_dry_ || temperature[c] < rows_.at(c / columns).boiling_point) continue;
    for_each_face(system_, c, [&](std::size_t neighbour, double& conductance) {
      system_.shunt[neighbour] += conductance;
      conductance = 0;
    });
    solved_[c] = 0;
    right_side_[c] = 0;
  }
  prepare();
  const SolveReport report =
      solver_.solve(system_, right_side_, allowed_water * std::sqrt(least * rate), most_iterations, solved_);
  if (!report.converged) return {report.iterations, false};

  for (std::size_t c = 0; c < cells; ++c) {
    if (c % columns + 1 < columns) flow_.east[c] = op_.east[c] * (solved_[c] - solved_[c + 1]) * dt;
    if (c + columns < cells) flow_.south[c] = op_.south[c] * (solved_[c] - solved_[c + columns]) * dt;
  }
  return {report.iterations, true};
}

// Within short steps next to nothing goes from cell to cell.
void Moisture::prepare() {
  bool storage_outweighs = taken_ == FlowTime::end;
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; storage_outweighs && c < system_.cells(); ++c) {
    double faces = system_.east[c] + system_.south[c];
    if (c > 0) faces += system_.east[c - 1];
    if (c >= columns) faces += system_.south[c - columns];
    storage_outweighs = faces < system_.shunt[c];
  }
  if (storage_outweighs) {
    solver_.prepare_diagonal(system_);
  } else {
    solver_.prepare(system_);
  }
}

// The faces' flows, not the solution, move the water: what leaves one cell enters the other.
void Moisture::sum_up(std::span<const double> temperature, std::span<double> inflow, std::span<double> enthalpy) const {
  std::fill(inflow.begin(), inflow.end(), 0.0);
  std::fill(enthalpy.begin(), enthalpy.end(), 0.0);
  const auto columns = static_cast<std::size_t>(grid_.columns());
  const auto move = [&](std::size_t from, std::size_t to, double mass) {
    if (mass == 0) return;
    if (mass < 0) {
      std::swap(from, to);
      mass = -mass;
    }
    const Tissue& tissue = rows_.at(from / columns);
    const double carried = mass * heat_wet_[from] * (1 - tissue.dry_heat_ratio) / capacity_[from] *
                           (temperature[from] - tissue.boiling_point);
    inflow[from] -= mass / capacity_[from];
    inflow[to] += mass / capacity_[to];
    enthalpy[from] -= carried;
    enthalpy[to] += carried;
  };
  for (std::size_t c = 0; c < grid_.cells(); ++c) {
    if (c % columns + 1 < columns) move(c, c + 1, flow_.east[c]);
    if (c + columns < grid_.cells()) move(c, c + columns, flow_.south[c]);
  }
}

bool Moisture::bound_gains(double dt, std::span<const double> water, std::span<const double> boil_rate,
                           std::span<const double> inflow) {
  bool over = false;
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < water.size(); ++c) {
    const double room = most_[c / columns] + margin - water[c] + dt * boil_rate[c];
    over = over || inflow[c] > room;
    may_gain_[c] = capacity_[c] * room;
  }
  if (over) bounds_.bound_gains(solved_, may_gain_, flow_);
  return over;
}

}  // namespace dryfront
