#include "physics/electric.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace dryfront {

FarVoltageCells far_voltage(const Grid& grid, FarVoltageKind side, FarVoltageKind bottom, double inner, double outer) {
  assert(grid.symmetry() == Symmetry::axis ||
         (side != FarVoltageKind::half_space && bottom != FarVoltageKind::half_space));
  FarVoltageCells far;
  const auto add = [&](FarVoltageKind kind, std::size_t cell, double half_cell, double area, double decay) {
    if (kind == FarVoltageKind::insulated) return;
    far.cell.push_back(cell);
    far.half_cell.push_back(half_cell);
    far.to_zero.push_back(kind == FarVoltageKind::grounded ? half_cell : 1 / (1 / half_cell + 1 / (area * decay)));
  };
  const double radius = grid.r_face().back();
  const double depth = grid.z_face().back();
  const int last_column = grid.columns() - 1;
  const int last_row = grid.rows() - 1;
  for (int j = 0; j < grid.rows(); ++j) {
    const double z = grid.z()[static_cast<std::size_t>(j)];
    add(side, grid.index(last_column, j), radial_half_conductance(grid, 1.0, last_column + 1, last_column, j),
        grid.radial_area(last_column + 1, j), radius / (radius * radius + z * z));
  }
  for (int i = 0; i < grid.columns(); ++i) {
    const double r = grid.r()[static_cast<std::size_t>(i)];
    if (bottom == FarVoltageKind::grounded && (r < inner || r > outer)) continue;
    add(bottom, grid.index(i, last_row), axial_half_conductance(grid, 1.0, i, last_row), grid.axial_area(i),
        depth / (depth * depth + r * r));
  }
  return far;
}

ElectricSolver::ElectricSolver(const Grid& grid, const ContactGeometry& contact, FarVoltageCells far)
    : grid_(grid),
      contact_(contact),
      far_(std::move(far)),
      solver_(grid.columns(), grid.rows()),
      op_(grid),
      right_side_(grid.cells(), 0.0),
      face_conductance_(contact.faces.size(), 0.0),
      face_link_(contact.faces.size(), 0.0),
      face_open_(contact.faces.size(), 0.0),
      in_phase_(grid.cells(), 0.0) {
  const std::size_t most = grid.cells() + contact.faces.size();
  nonlinear_.reserve(grid.cells());
  for (auto* list : {&present_, &renewed_, &weight_}) list->reserve(most);
  mixing_.reserve(most);
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) volume_.push_back(grid.volume(i, j));
  }
}

// Cells in which dried tissue could break down.
void ElectricSolver::find_nonlinear(const ElectricInput& input) {
  nonlinear_.clear();
  for (std::size_t c = 0; c < input.breakdown.size(); ++c) {
    if (input.breakdown[c] > 1e-9 * input.conductivity[c]) nonlinear_.push_back(c);
  }
  const std::size_t unknowns = nonlinear_.size() + input.contact.size();
  for (auto* list : {&present_, &renewed_, &weight_}) list->resize(unknowns);
}

// The conductances at the currents of the last solve, as logarithms, and how far the present ones are from them.
void ElectricSolver::renew_conductances(const ElectricInput& input, ElectricState& result) {
  double change = 0;
  for (std::size_t k = 0; k < nonlinear_.size(); ++k) {
    const std::size_t c = nonlinear_[k];
    const double base = input.conductivity[c];
    double renewed = base;
    if (result.warm.current_density[c] > 0) {
      const double field = field_at_current(base, input.breakdown[c], input.breakdown_threshold, *input.striking,
                                            result.warm.current_density[c]);
      renewed = std::clamp(result.warm.current_density[c] / field, base, base + input.breakdown[c]);
    }
    weight_[k] = result.heating[c];
    renewed_[k] = std::log(renewed);
    change += weight_[k] * std::abs(1 - result.conductivity[c] / renewed);
  }
  for (std::size_t f = 0; f < input.contact.size(); ++f) {
    const ContactLaw& law = input.contact[f];
    double renewed = law.base;
    if (law.spark > 0 && result.warm.face_density[f] > 0) {
      const double gap =
          field_at_current(law.base, law.spark, input.strike_threshold, *input.striking, result.warm.face_density[f]);
      renewed = std::clamp(result.warm.face_density[f] / gap, law.base, law.base + law.spark);
    }
    const std::size_t k = nonlinear_.size() + f;
    weight_[k] = result.contact_power[f] + result.spark_power[f];
    renewed_[k] = std::log(renewed);
    change += weight_[k] * std::abs(1 - face_conductance_[f] / renewed);
  }
  result.residual = result.power > 0 ? change / result.power : 0;
}

// The next conductances from the renewed ones, and how far they are from the present ones, in the measure of the
// residual.
double ElectricSolver::mix(const ElectricInput& input, const ElectricState& result) {
  for (std::size_t k = 0; k < nonlinear_.size(); ++k) present_[k] = std::log(result.conductivity[nonlinear_[k]]);
  for (std::size_t f = 0; f < input.contact.size(); ++f) {
    present_[nonlinear_.size() + f] = std::log(face_conductance_[f]);
  }
  const double change = mixing_.next(renewed_, weight_, present_);
  return result.power > 0 ? change / result.power : 0;
}

// Takes over the mixed conductances, within the bounds of their laws.
void ElectricSolver::take(const ElectricInput& input, ElectricState& result) {
  for (std::size_t k = 0; k < nonlinear_.size(); ++k) {
    const std::size_t c = nonlinear_[k];
    result.conductivity[c] =
        std::clamp(std::exp(present_[k]), input.conductivity[c], input.conductivity[c] + input.breakdown[c]);
  }
  for (std::size_t f = 0; f < input.contact.size(); ++f) {
    const ContactLaw& law = input.contact[f];
    face_conductance_[f] = std::clamp(std::exp(present_[nonlinear_.size() + f]), law.base, law.base + law.spark);
  }
}

void ElectricSolver::assemble(const ElectricInput& input, const ElectricState& result) {
  set_conductances(grid_, result.conductivity, op_);
  if (input.contact.empty()) apply_factors(contact_.rim, op_);
  std::fill(op_.shunt.begin(), op_.shunt.end(), 0.0);
  std::fill(right_side_.begin(), right_side_.end(), 0.0);
  std::copy(input.injected.begin(), input.injected.end(), right_side_.begin());
  for (std::size_t k = 0; k < far_.cell.size(); ++k) {
    op_.shunt[far_.cell[k]] += far_.to_zero[k] * result.conductivity[far_.cell[k]];
  }
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const double half =
        (input.contact.empty() ? face.rim_factor : 1.0) * face.half_cell * result.conductivity[face.cell];
    const double layer = face_conductance_[f] * face.area;
    face_link_[f] = input.contact.empty() ? half : half * layer / (half + layer);
    op_.shunt[face.cell] += face_link_[f];
    right_side_[face.cell] += face_link_[f];
  }
  for (std::size_t cell : contact_.metal) {  // no tissue there: the cell stands alone at V = 0 and carries nothing
    isolate(op_, cell);
    op_.shunt[cell] = 1;
    right_side_[cell] = 0;
  }
}

// In the tissue and beyond the grid, of a potential.
void ElectricSolver::dissipate(const ElectricState& result, std::span<const double> potential,
                               std::span<double> heating, double& beyond) const {
  add_dissipation(grid_, op_, result.conductivity, potential, heating);
  for (std::size_t k = 0; k < far_.cell.size(); ++k) {
    const std::size_t c = far_.cell[k];
    const double flow = far_.to_zero[k] * result.conductivity[c] * potential[c];
    const double inside = flow * flow / (far_.half_cell[k] * result.conductivity[c]);
    heating[c] += inside;
    beyond += flow * potential[c] - inside;
  }
}

// Where the power goes when V_e = 1 V: half cells, contact layer, sparks, and what lies beyond the grid. The sum, less
// what is injected, is the conductance that the source sees. Where nothing is injected the sum is least for the exact
// potential, hence good to the square of its error.
double ElectricSolver::distribute_power(const ElectricInput& input, ElectricState& result) {
  std::fill(result.heating.begin(), result.heating.end(), 0.0);
  result.beyond_power = 0;
  dissipate(result, result.warm.unit_potential, result.heating, result.beyond_power);
  result.surface_power = 0;
  result.inflow = 0;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const double drop = 1 - result.warm.unit_potential[face.cell];
    const double flow = face_link_[f] * drop;
    result.inflow += flow;
    if (input.contact.empty()) {
      result.heating[face.cell] += flow * drop;
      continue;
    }
    result.heating[face.cell] += flow * flow / (face.half_cell * result.conductivity[face.cell]);
    const double gap = flow / (face_conductance_[f] * face.area);
    const double spark_share = std::max(0.0, 1 - input.contact[f].base / face_conductance_[f]);
    result.warm.face_density[f] = flow / face.area;
    result.gap_voltage[f] = gap;
    result.spark_power[f] = flow * gap * spark_share;
    result.contact_power[f] = flow * gap - result.spark_power[f];
    result.root_power[f] = 0;
    result.surface_power += flow * gap;
  }
  for (auto* power : {&result.rim_spark, &result.rim_root}) std::fill(power->begin(), power->end(), 0.0);
  result.volume_power = 0;
  for (double heating : result.heating) result.volume_power += heating;
  double injected = 0;
  for (std::size_t c = 0; c < input.injected.size(); ++c) injected += input.injected[c] * result.warm.unit_potential[c];
  return result.volume_power + result.surface_power + result.beyond_power - injected;
}

// Load, voltage, current: what was found at V_e = 1 V is scaled to where the source meets the load.
void ElectricSolver::set_operating_point(const ElectricInput& input, ElectricState& result) {
  result.resistance = 1 / result.warm.unit_current;
  result.rms = source_voltage(*input.source, result.resistance, input.crest_factor);
  result.current = result.rms * result.warm.unit_current;
  result.power = result.rms * result.current;
  result.inflow *= result.rms;
  const double square = result.rms * result.rms;
  for (double* power : {&result.volume_power, &result.surface_power, &result.beyond_power}) *power *= square;
  for (std::size_t c = 0; c < volume_.size(); ++c) {
    result.potential[c] = result.rms * result.warm.unit_potential[c];
    result.heating[c] *= square;
    result.warm.current_density[c] = std::sqrt(result.conductivity[c] * result.heating[c] / volume_[c]);
  }
  double spark_current = 0;
  for (std::size_t f = 0; f < input.contact.size(); ++f) {
    result.warm.face_density[f] *= result.rms;
    result.gap_voltage[f] *= result.rms;
    result.spark_power[f] *= square;
    result.root_power[f] *= square;
    result.contact_power[f] *= square;
    spark_current += result.gap_voltage[f] > 0 ? result.spark_power[f] / result.gap_voltage[f] : 0.0;
  }
  for (auto* powers : {&result.rim_spark, &result.rim_root}) {
    for (double& power : *powers) power *= square;
  }
  result.arcing_share = result.current > 0 ? spark_current / result.current : 0;
  if (input.sparks != nullptr) {
    result.arcing_share = channels_.in_phase / result.warm.unit_current;
    result.root_radius = channels_.root_radius;
  }
}

void ElectricSolver::make_room(const ElectricInput& input, ElectricState& result) const {
  const std::size_t cells = grid_.cells(), faces = contact_.faces.size();
  if (result.potential.size() == cells) return;
  result.conductivity.assign(input.conductivity.begin(), input.conductivity.end());
  for (auto* field : {&result.potential, &result.heating}) field->assign(cells, 0.0);
  for (auto* field : {&result.gap_voltage, &result.contact_power, &result.spark_power, &result.root_power}) {
    field->assign(faces, 0.0);
  }
  const std::size_t beside = input.rim != nullptr ? contact_.free_surface.size() : 0;
  for (auto* field : {&result.rim_spark, &result.rim_root}) field->assign(beside, 0.0);
  result.warm = {std::vector<double>(cells, 0.0), std::vector<double>(cells, 0.0),
                 std::vector<double>(faces, 0.0), 0.0,
                 std::vector<double>(cells, 0.0), 0.0};
}

void ElectricSolver::solve(const ElectricInput& input, ElectricState& result) {
  constexpr int most_passes = 1000;
  constexpr int most_mixed = 60;  // a mixing that has not converged by then gives way to plain passes, which do
  // Of the energy norm; the load is good to its square. Conductances that depend on the current want a finer potential
  // at the end; while they still move, it need not be better than they are.
  constexpr double alone = 1e-6;       // where no conductance moves
  constexpr double round_off = 1e-12;  // of conductances that do not move
  constexpr double finest_linear = 3e-8;
  constexpr double coarsest_linear = 1e-4;
  constexpr double of_residual = 0.03;
  constexpr double worth_mixing = 0.3;
  constexpr double furthest = 5 * tolerance;  // that the mixing may still go; the tests hold results to 10
  make_room(input, result);
  // A problem that took one pass last time will most likely take one again, so that pass has to be good.
  double allowed = coarsest_linear;
  if (result.solves <= 1) allowed = result.residual <= round_off ? alone : finest_linear;
  result.converged = false;
  result.solves = 0;
  result.iterations = 0;
  find_nonlinear(input);
  mixing_.restart(present_.size());
  std::copy(input.conductivity.begin(), input.conductivity.end(), result.conductivity.begin());
  renew_conductances(input, result);
  present_ = renewed_;
  take(input, result);
  double last_residual = 0;
  for (int pass = 0; pass < most_passes; ++pass) {
    assemble(input, result);
    solver_.prepare(op_);
    double links = 0;
    for (double link : face_link_) links += link;
    for (double current : input.injected) links += std::abs(current);
    const double scale = result.warm.unit_current > 0 ? std::min(result.warm.unit_current, links) : links;
    if (pass > 0) allowed = std::clamp(of_residual * result.residual, finest_linear, coarsest_linear);
    const SolveReport report =
        solver_.solve(op_, right_side_, allowed * std::sqrt(scale), most_iterations, result.warm.unit_potential);
    ++result.solves;
    result.iterations += report.iterations;
    if (!report.converged) return;
    const double conductance = distribute_power(input, result);
    if (!std::isfinite(conductance)) return;
    result.warm.unit_current = conductance;
    if (input.sparks != nullptr && !spark(input, allowed, conductance, result)) return;
    set_operating_point(input, result);
    renew_conductances(input, result);
    // Far from the solution, or after a mixing that made it worse, the plain pass is the safe one.
    if (pass >= most_mixed || result.residual > worth_mixing || result.residual > 2 * last_residual) {
      mixing_.restart(present_.size());
    }
    last_residual = result.residual;
    // Where a pass gains little the solution is many residuals away. The mixing looks ahead and shows it.
    const double ahead = mix(input, result);
    const double good = result.residual <= round_off ? alone : 0.1 * tolerance;
    if (result.residual <= tolerance && ahead <= furthest && allowed <= good) {
      result.converged = true;
      return;
    }
    take(input, result);
  }
}

}  // namespace dryfront
