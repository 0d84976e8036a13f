#include "physics/heat.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace dryfront {

namespace {

double boiling_begins(const EnthalpyLaw& u, std::size_t c) { return u.wet[c] * (u.boiling_point[c] - u.start[c]); }

// Two conductances in series, the first possibly infinite.
double series(double first, double second) { return std::isinf(first) ? second : first * second / (first + second); }

}  // namespace

double temperature_at_enthalpy(const EnthalpyLaw& u, std::size_t c, double heat) {
  return temperature_at_enthalpy(u, c, heat, u.boiling_point[c]);
}

double temperature_at_enthalpy(const EnthalpyLaw& u, std::size_t c, double heat, double guess) {
  if (u.latent[c] <= 0) return u.start[c] + heat / u.wet[c];
  const double begins = boiling_begins(u, c);
  if (heat <= begins) return u.start[c] + heat / u.wet[c];
  if (u.bound != nullptr) return bound_temperature(u, c, heat, guess);
  if (heat < begins + u.latent[c]) return u.boiling_point[c];
  return u.boiling_point[c] + (heat - begins - u.latent[c]) / u.dry[c];
}

double vaporised_fraction(const EnthalpyLaw& u, std::size_t c, double heat) {
  if (u.bound == nullptr) return vaporised_fraction(u, c, heat, 0.0);
  return vaporised_fraction(u, c, heat, temperature_at_enthalpy(u, c, heat));
}

double vaporised_fraction(const EnthalpyLaw& u, std::size_t c, double heat, double temperature) {
  if (u.latent[c] <= 0) return 0;
  if (u.bound != nullptr) {
    if (temperature <= u.boiling_point[c]) return 0;
    return std::clamp(1 - u.bound->water(temperature, u.spare[c]) / u.water[c], 0.0, 1.0);
  }
  return std::clamp((heat - boiling_begins(u, c)) / u.latent[c], 0.0, 1.0);
}

HeatStage::HeatStage(int columns, int rows) : solver_(columns, rows) {
  const auto cells = static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
  for (auto* field : {&right_side_, &outflow_}) field->reserve(cells + 1);  // with an electrode
  phase_.reserve(cells + 1);
  system_.columns = columns;
  system_.rows = rows;
  for (auto* field : {&system_.east, &system_.south, &system_.shunt}) field->assign(cells, 0.0);
}

void HeatStage::copy_faces(const HeatOperator& heat) {
  std::copy(heat.op.east.begin(), heat.op.east.end(), system_.east.begin());
  std::copy(heat.op.south.begin(), heat.op.south.end(), system_.south.begin());
  system_.has_node = heat.op.has_node;
  system_.node_links.assign(heat.op.node_links.begin(), heat.op.node_links.end());
}

// Storage over duration joins the shunt; a boiling cell is held at T_b and its neighbours see T_b.
void HeatStage::assemble(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                         double duration) {
  const std::size_t cells = heat.op.cells();
  copy_faces(heat);
  const double rate = 1 / duration;
  for (std::size_t c = 0; c < heat.op.unknowns(); ++c) {
    const double storage = (phase_[c] == Phase::above ? u.dry[c] : u.wet[c]) * rate;
    if (c < cells) {
      system_.shunt[c] = heat.op.shunt[c] + storage;
    } else {
      system_.node_shunt = heat.op.node_shunt + storage;
    }
    double held = u.start[c] * storage;
    if (phase_[c] == Phase::above) {
      held = u.boiling_point[c] * storage - (boiling_begins(u, c) + u.latent[c]) * rate;
    }
    right_side_[c] = held + known[c] * rate + heat.inflow[c];
  }
  for (std::size_t c = 0; c < cells; ++c) {
    if (phase_[c] != Phase::boiling) continue;
    for_each_face(system_, c, [&](std::size_t neighbour, double& conductance) {
      if (phase_[neighbour] != Phase::boiling) {
        system_.shunt[neighbour] += conductance;
        right_side_[neighbour] += conductance * u.boiling_point[c];
      }
      conductance = 0;
    });
    system_.shunt[c] = u.wet[c] * rate;
    right_side_[c] = system_.shunt[c] * u.boiling_point[c];
  }
  for (NodeLink& link : system_.node_links) {
    if (phase_[link.cell] != Phase::boiling) continue;
    right_side_[cells] += link.conductance * u.boiling_point[link.cell];
    link.conductance = 0;
  }
}

double HeatStage::even_shift(std::span<const double> temperature) {
  apply(system_, temperature, outflow_);
  double open = 0;
  double conductance = 0;
  for (std::size_t c = 0; c < phase_.size(); ++c) {
    if (phase_[c] == Phase::boiling) continue;
    open += right_side_[c] - outflow_[c];
    conductance += c < system_.cells() ? system_.shunt[c] : system_.node_shunt;
  }
  for (const NodeLink& link : system_.node_links)
    conductance -= 2 * link.conductance;  // flows between two that are shifted
  return conductance > 0 ? open / conductance : 0.0;
}

// What the linear solver left open must not be lost: all cells that do not boil are shifted by the one temperature that
// makes their heat taken up equal what flowed in, and a boiling cell takes up what flows in. (Heat taken up cell by
// cell from the flows would be exact too, but stiff cells would blow the solver's error up.)
void HeatStage::balance(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known, double duration,
                        std::span<double> temperature, std::span<double> heat_gained) {
  const std::size_t cells = phase_.size();
  const double shift = even_shift(temperature);
  for (std::size_t c = 0; c < cells; ++c) {
    if (phase_[c] != Phase::boiling) temperature[c] += shift;
  }
  apply(heat.op, temperature, outflow_);
  for (std::size_t c = 0; c < cells; ++c) {
    switch (phase_[c]) {
      case Phase::below:
        heat_gained[c] = u.wet[c] * (temperature[c] - u.start[c]);
        break;
      case Phase::boiling:
        heat_gained[c] = known[c] + duration * (heat.inflow[c] - outflow_[c]);
        break;
      case Phase::above:
        heat_gained[c] = boiling_begins(u, c) + u.latent[c] + u.dry[c] * (temperature[c] - u.boiling_point[c]);
        break;
    }
  }
}

double HeatStage::allowed_error(const EnthalpyLaw& u, double duration, double allowed,
                                std::span<const double> temperature) {
  constexpr double of_change = 5e-4;
  double least_capacity = u.wet[0];
  double squares = 0;
  for (std::size_t c = 0; c < temperature.size(); ++c) {
    least_capacity = std::min(least_capacity, u.wet[c]);
    squares += u.wet[c] * (temperature[c] - u.start[c]) * (temperature[c] - u.start[c]);
  }
  return std::max(allowed * std::sqrt(least_capacity / duration), of_change * std::sqrt(squares / duration));
}

HeatStage::Report HeatStage::solve(const HeatOperator& heat, const EnthalpyLaw& u, std::span<const double> known,
                                   double duration, double allowed, std::span<double> temperature,
                                   std::span<double> heat_gained, std::span<double> face_temperature) {
  const std::size_t cells = heat.op.unknowns();
  phase_.resize(cells);
  for (auto* field : {&right_side_, &outflow_}) field->resize(cells);
  if (u.bound != nullptr) {
    return solve_bound(heat, u, known, duration, allowed, temperature, heat_gained, face_temperature);
  }
  for (std::size_t c = 0; c < cells; ++c) {
    phase_[c] = Phase::below;
    if (u.latent[c] <= 0) continue;
    if (temperature[c] > u.boiling_point[c]) phase_[c] = Phase::above;
    if (temperature[c] == u.boiling_point[c]) phase_[c] = Phase::boiling;
  }
  const double allowed_energy = allowed_error(u, duration, allowed, temperature);
  Report report;
  while (report.passes < most_passes) {
    ++report.passes;
    assemble(heat, u, known, duration);
    solver_.prepare(system_);
    const SolveReport linear = solver_.solve(system_, right_side_, allowed_energy, most_iterations, temperature);
    report.iterations += linear.iterations;
    if (!linear.converged) return report;

    apply(heat.op, temperature, outflow_);
    std::size_t moved = 0;
    for (std::size_t c = 0; c < cells; ++c) {
      if (u.latent[c] <= 0) continue;
      // A cell that misses its bound by less than the allowed error stays: it would only come back.
      Phase next = phase_[c];
      if (phase_[c] == Phase::boiling) {
        const double begins = boiling_begins(u, c);
        const double flows_in = known[c] + duration * (heat.inflow[c] - outflow_[c]);
        if (flows_in < begins - u.wet[c] * allowed) next = Phase::below;
        if (flows_in > begins + u.latent[c] + u.dry[c] * allowed) next = Phase::above;
      } else if (phase_[c] == Phase::below ? temperature[c] > u.boiling_point[c] + allowed
                                           : temperature[c] < u.boiling_point[c] - allowed) {
        next = Phase::boiling;
      }
      if (next != phase_[c]) {
        phase_[c] = next;
        ++moved;
      }
    }
    if (moved > 0) continue;
    balance(heat, u, known, duration, temperature, heat_gained);
    std::copy(temperature.begin(), temperature.end(), face_temperature.begin());
    for (std::size_t c = 0; c < cells; ++c) temperature[c] = temperature_at_enthalpy(u, c, heat_gained[c]);
    report.converged = true;
    return report;
  }
  return report;
}

namespace {

std::vector<HeatLink>& links_to(HeatOperator& heat, HeatOutlet which) {
  return heat.link[static_cast<std::size_t>(which)];
}

// Half cells of the side and bottom that are held at a temperature.
void link_far(const Grid& grid, const HeatBoundaries& boundaries, std::span<const double> conductivity,
              std::vector<HeatLink>& links) {
  const int column = grid.columns() - 1, row = grid.rows() - 1;
  for (int j = 0; boundaries.side_held && j < grid.rows(); ++j) {
    const std::size_t c = grid.index(column, j);
    links.push_back({c, radial_half_conductance(grid, conductivity[c], column + 1, column, j)});
  }
  for (int i = 0; boundaries.bottom_held && i < grid.columns(); ++i) {
    const std::size_t c = grid.index(i, row);
    links.push_back({c, axial_half_conductance(grid, conductivity[c], i, row)});
  }
}

// Shunts, node and inflow from the links.
void assemble_links(HeatOperator& heat) {
  heat.inflow.assign(heat.op.unknowns(), 0.0);
  std::fill(heat.op.shunt.begin(), heat.op.shunt.end(), 0.0);
  heat.op.node_links.clear();
  heat.op.node_shunt = 0;
  for (std::size_t o = 0; o < heat_outlets; ++o) {
    const bool node = heat.op.has_node && o == static_cast<std::size_t>(HeatOutlet::electrode);
    for (const HeatLink& link : heat.link[o]) {
      heat.op.shunt[link.cell] += link.conductance;
      if (node) {
        heat.op.node_links.push_back({link.cell, link.conductance});
        heat.op.node_shunt += link.conductance;
      } else {
        heat.inflow[link.cell] += link.conductance * heat.outlet_temperature[o];
      }
    }
  }
}

}  // namespace

void set_heat_operator(const Grid& grid, const ContactGeometry& contact, const HeatBoundaries& boundaries,
                       std::span<const double> electrode_film, std::span<const double> conductivity,
                       std::span<const double> perfusion, HeatOperator& heat) {
  assert(electrode_film.size() == contact.faces.size());
  if (heat.op.shunt.size() != grid.cells()) heat.op = FluxOperator(grid);
  heat.op.has_node = boundaries.electrode_is_node;
  set_conductances(grid, conductivity, heat.op);
  // An electrode without a film holds the surface at its temperature: the heat flux has the rim's singularity too.
  const bool ideal = !electrode_film.empty() && std::isinf(electrode_film[0]);
  if (ideal) apply_factors(contact.rim, heat.op);
  for (std::size_t cell : contact.metal) isolate(heat.op, cell);
  for (auto& links : heat.link) links.clear();
  for (int i = 0; i < grid.columns(); ++i) {
    const std::size_t c = grid.index(i, 0);
    if (contact.covered[static_cast<std::size_t>(i)] || boundaries.air <= 0) continue;
    const double film = boundaries.air * grid.axial_area(i);
    links_to(heat, HeatOutlet::air).push_back({c, series(film, axial_half_conductance(grid, conductivity[c], i, 0))});
  }
  for (std::size_t f = 0; f < electrode_film.size(); ++f) {
    if (electrode_film[f] <= 0) continue;
    const ContactFace& face = contact.faces[f];
    const double half = (ideal ? face.rim_factor : 1.0) * face.half_cell * conductivity[face.cell];
    links_to(heat, HeatOutlet::electrode).push_back({face.cell, series(electrode_film[f] * face.area, half)});
  }
  link_far(grid, boundaries, conductivity, links_to(heat, HeatOutlet::far));
  for (std::size_t c = 0; c < perfusion.size(); ++c) {
    if (perfusion[c] > 0) links_to(heat, HeatOutlet::perfusion).push_back({c, perfusion[c]});
  }
  assemble_links(heat);
}

double outlet_heat(const HeatOperator& heat, HeatOutlet which, std::span<const double> temperature, double duration) {
  const auto o = static_cast<std::size_t>(which);
  const bool node = heat.op.has_node && which == HeatOutlet::electrode;
  const double outside = node ? temperature[heat.op.cells()] : heat.outlet_temperature[o];
  double sum = 0;
  for (const HeatLink& link : heat.link[o]) sum += link.conductance * (temperature[link.cell] - outside);
  return sum * duration;
}

}  // namespace dryfront
