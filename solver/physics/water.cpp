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
    diffusivity_.push_back(tissue.moisture);
    most_.push_back(most[rows.of_row[static_cast<std::size_t>(j)]]);
    for (int i = 0; i < grid.columns(); ++i) {
      diffusivity.push_back(initial_water(tissue) * tissue.moisture);
      capacity_.push_back(initial_water(tissue) * grid.volume(i, j));
      heat_wet_.push_back(heat_capacity(tissue, 1.0) * grid.volume(i, j));
    }
  }
  set_conductances(grid, diffusivity, op_);
  for (std::size_t cell : contact.metal) isolate(op_, cell);
  for (auto* field : {&right_side_, &solved_, &potential_, &out_, &allowed_}) field->assign(grid.cells(), 0.0);
}

Moisture::Report Moisture::flow(double dt, std::span<const double> water, std::span<const double> boil_rate,
                                std::span<const double> temperature, const PressedWater* pressed,
                                std::span<double> inflow, std::span<double> enthalpy) {
  pressed_out_ = pressed_heat_ = 0;
  if (pressed == nullptr && std::all_of(water.begin(), water.end(), [&](double s) { return s == water[0]; })) {
    std::fill(inflow.begin(), inflow.end(), 0.0);
    std::fill(enthalpy.begin(), enthalpy.end(), 0.0);
    return {0, true};
  }
  Report report = flow_at(taken_ == FlowTime::middle ? 0.5 * dt : dt, dt, water, boil_rate, temperature, pressed);
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
    const Report end = flow_at(dt, dt, water, boil_rate, temperature, pressed);
    report.iterations += end.iterations;
    report.converged = end.converged;
    if (!report.converged) return report;
    sum_up(temperature, inflow, enthalpy);
  }
  if (pressed != nullptr) {
    set_outflow(dt, water, *pressed);
    if (bound_losses(water, inflow)) sum_up(temperature, inflow, enthalpy);
  }
  if (bound_gains(dt, water, boil_rate, inflow)) sum_up(temperature, inflow, enthalpy);
  if (pressed != nullptr) let_out(water, temperature, inflow, enthalpy);
  return report;
}

Moisture::Report Moisture::flow_at(double time, double dt, std::span<const double> water,
                                   std::span<const double> boil_rate, std::span<const double> temperature,
                                   const PressedWater* pressed) {
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
  if (pressed != nullptr) press(*pressed, solved_);
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

  set_flow(dt, pressed);
  return {report.iterations, true};
}

void Moisture::press(const PressedWater& pressed, std::span<const double> start) {
  const std::size_t cells = grid_.cells();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  const std::vector<double>& equilibrium = pressed.equilibrium();
  const auto drive = [&](std::size_t here, std::size_t there, double conductance) {
    const double mass_rate = conductance * (equilibrium[here] - equilibrium[there]);
    right_side_[here] += mass_rate;
    right_side_[there] -= mass_rate;
  };
  for (std::size_t c = 0; c < cells; ++c) {
    system_.east[c] += pressed.inside().east[c];
    system_.south[c] += pressed.inside().south[c];
    if (c % columns + 1 < columns) drive(c, c + 1, pressed.inside().east[c]);
    if (c + columns < cells) drive(c, c + columns, pressed.inside().south[c]);
  }
  for (const PressedWater::Outlet& outlet : pressed.outlets()) {
    if (start[outlet.cell] <= equilibrium[outlet.cell]) continue;
    system_.shunt[outlet.cell] += outlet.conductance;
    right_side_[outlet.cell] += outlet.conductance * equilibrium[outlet.cell];
  }
}

void Moisture::set_flow(double dt, const PressedWater* pressed) {
  const std::size_t cells = grid_.cells();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < cells; ++c) {
    if (c % columns + 1 < columns) flow_.east[c] = op_.east[c] * (solved_[c] - solved_[c + 1]) * dt;
    if (c + columns < cells) flow_.south[c] = op_.south[c] * (solved_[c] - solved_[c + columns]) * dt;
    potential_[c] = solved_[c];
  }
  if (pressed == nullptr) return;
  const FluxOperator& inside = pressed->inside();
  const auto excess = [&](std::size_t c) { return solved_[c] - pressed->equilibrium()[c]; };
  for (std::size_t c = 0; c < cells; ++c) {
    if (c % columns + 1 < columns) flow_.east[c] += inside.east[c] * (excess(c) - excess(c + 1)) * dt;
    if (c + columns < cells) flow_.south[c] += inside.south[c] * (excess(c) - excess(c + columns)) * dt;
    const double pressed_share = pressed->diffusivity() / (pressed->diffusivity() + diffusivity_[c / columns]);
    potential_[c] -= pressed_share * pressed->equilibrium()[c];
  }
}

void Moisture::set_outflow(double dt, std::span<const double> water, const PressedWater& pressed) {
  for (const PressedWater::Outlet& outlet : pressed.outlets()) {
    const std::size_t c = outlet.cell;
    const double equilibrium = pressed.equilibrium()[c];
    const double excess = water[c] > equilibrium ? std::max(0.0, solved_[c] - equilibrium) : 0.0;
    out_[c] = outlet.conductance * excess * dt;
  }
}

void Moisture::let_out(std::span<const double> water, std::span<const double> temperature, std::span<double> inflow,
                       std::span<double> enthalpy) {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (std::size_t c = 0; c < out_.size(); ++c) {
    const double mass = std::min(out_[c], std::max(0.0, water[c] + inflow[c]) * capacity_[c]);
    if (mass == 0) continue;
    const Tissue& tissue = rows_.at(c / columns);
    const double carried =
        mass * heat_wet_[c] * (1 - tissue.dry_heat_ratio) / capacity_[c] * (temperature[c] - tissue.boiling_point);
    inflow[c] -= mass / capacity_[c];
    enthalpy[c] -= carried;
    pressed_out_ += mass;
    pressed_heat_ += carried;
  }
}

bool Moisture::bound_losses(std::span<const double> water, std::span<const double> inflow) {
  bool over = false;
  for (std::size_t c = 0; c < water.size(); ++c) {
    over = over || inflow[c] < -water[c];
    allowed_[c] = capacity_[c] * water[c];
  }
  if (over) bounds_.bound_losses(potential_, allowed_, flow_);
  return over;
}

// Within short steps next to nothing goes from cell to cell.
void Moisture::prepare() {
  bool storage_outweighs = taken_ == FlowTime::end;
  for (std::size_t c = 0; storage_outweighs && c < system_.cells(); ++c) {
    storage_outweighs = through_faces(system_, c) < system_.shunt[c];
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
    const double room = most_[c / columns] + margin - water[c] + dt * boil_rate[c] + out_[c] / capacity_[c];
    over = over || inflow[c] > room;
    allowed_[c] = capacity_[c] * room;
  }
  if (over) bounds_.bound_gains(potential_, allowed_, flow_);
  return over;
}

}  // namespace dryfront
