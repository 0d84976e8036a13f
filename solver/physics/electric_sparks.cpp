// The part of ElectricSolver that deals with sparks as channels.
#include <algorithm>
#include <cassert>
#include <cmath>

#include "physics/electric.hpp"

namespace dryfront {

namespace {

// What joins a cell to the electrode: the half cell behind the face, and the contact's layer [S].
struct FaceBranch {
  double half, layer;
  // Of the tissue's surface, between the two, with the electrode at `outer` and `current` fed into the surface   [V]
  double surface(double cell, double outer, double current) const {
    return (half * cell + layer * outer + current) / (half + layer);
  }
};

}  // namespace

// Where the channels land and with what the gap strikes: under the face, or with a rim gap beside it too. Returns the
// open gap's voltage at V_e = 1 V, mean over where the channels' current enters   [V]
double ElectricSolver::land(const ElectricInput& input, const ElectricState& result) {
  gap_ = *input.sparks;
  double open = 0;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const FaceBranch branch{face.half_cell * result.conductivity[face.cell], face_conductance_[f] * face.area};
    face_open_[f] = 1 - branch.surface(result.warm.unit_potential[face.cell], 1, 0);
    open += gap_.share[f] * face_open_[f];
  }
  if (input.rim == nullptr) return open;
  return land_beside(grid_, contact_, *input.rim, result.warm.unit_potential, face_open_, open, gap_);
}

// The right side of the channels' potential: their current enters between layer and half cell, beside the face above
// the half cell.
void ElectricSolver::feed_channels(const ElectricState& result) {
  std::fill(right_side_.begin(), right_side_.end(), 0.0);
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const double half = face.half_cell * result.conductivity[face.cell];
    right_side_[face.cell] += gap_.share[f] * half / (half + face_conductance_[f] * face.area);
  }
  for (std::size_t k = 0; k < gap_.beside.size(); ++k) {
    right_side_[contact_.free_surface[k].face.cell] += gap_.beside[k];
  }
}

// Of the tissue that the channels' current crosses, by its potential psi. 2 b x - x A x is off by the square of the
// error alone.   [ohm]
double ElectricSolver::channels_resistance(const ElectricState& result) {
  const std::vector<double>& psi = result.warm.channel_potential;
  double dissipated = 0, at_surface = 0;
  std::fill(in_phase_.begin(), in_phase_.end(), 0.0);
  dissipate(result, psi, in_phase_, dissipated);
  for (const double power : in_phase_) dissipated += power;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const FaceBranch branch{face.half_cell * result.conductivity[face.cell], face_conductance_[f] * face.area};
    const double surface = branch.surface(psi[face.cell], 0, gap_.share[f]);
    at_surface += gap_.share[f] * surface;
    dissipated +=
        branch.half * (surface - psi[face.cell]) * (surface - psi[face.cell]) + branch.layer * surface * surface;
  }
  for (std::size_t k = 0; k < gap_.beside.size(); ++k) {
    const ContactFace& face = contact_.free_surface[k].face;
    const double in_half_cell = gap_.beside[k] / (face.half_cell * result.conductivity[face.cell]);
    at_surface += gap_.beside[k] * (psi[face.cell] + in_half_cell);
    dissipated += gap_.beside[k] * in_half_cell;
  }
  return 2 * at_surface - dissipated;
}

// Lets the gap strike, if it does, at the voltage at which the source then stands. False when the channels' potential
// was not found.
//   unstruck  conductance that the source sees before the gap strikes [S]
bool ElectricSolver::spark(const ElectricInput& input, double allowed, double unstruck, ElectricState& result) {
  assert(input.injected.empty() && !input.contact.empty());
  channels_ = {};
  GapFeed feed{land(input, result), 0};
  const double alone = source_voltage(*input.source, 1 / unstruck, input.crest_factor);
  if (!strikes(gap_, feed.open, alone)) return true;

  feed_channels(result);
  double least = 0;  // of the resistance: what the current meets at the surface
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const double out = face.half_cell * result.conductivity[face.cell] + face_conductance_[f] * face.area;
    least += gap_.share[f] * gap_.share[f] / out;
  }
  for (std::size_t k = 0; k < gap_.beside.size(); ++k) {
    const ContactFace& face = contact_.free_surface[k].face;
    least += gap_.beside[k] * gap_.beside[k] / (face.half_cell * result.conductivity[face.cell]);
  }
  const double scale = std::max(result.warm.channel_resistance, least);
  const SolveReport report =
      solver_.solve(op_, right_side_, allowed * std::sqrt(scale), most_iterations, result.warm.channel_potential);
  result.iterations += report.iterations;
  if (!report.converged) return false;

  feed.resistance = channels_resistance(result);
  if (!(std::isfinite(feed.resistance) && feed.resistance > 0)) return false;
  result.warm.channel_resistance = feed.resistance;
  const double rms = voltage_with_channels(gap_, feed, unstruck, *input.source, input.crest_factor);
  channels_ = channel_currents(gap_, feed, rms);
  result.warm.unit_current = unstruck + feed.open * channels_.in_phase;
  add_channels(result);
  return true;
}

// Of the channels beside the face, as add_channels.
void ElectricSolver::add_channels_beside(double along, double aside, ElectricState& result) const {
  for (std::size_t k = 0; k < gap_.beside.size(); ++k) {
    const ContactFace& face = contact_.free_surface[k].face;
    const double share = gap_.beside[k];
    result.heating[face.cell] +=
        (along * along + aside) * share * share / (face.half_cell * result.conductivity[face.cell]);
    result.rim_spark[k] = share * channels_.drop_power;
    result.rim_root[k] = share * channels_.root_power;
    result.surface_power += result.rim_spark[k] + result.rim_root[k];
  }
}

// Puts the heating of the two fields in place of that of the unstruck one, at V_e = 1 V, and adds what the channels
// take.
void ElectricSolver::add_channels(ElectricState& result) {
  const std::vector<double>& phi = result.warm.unit_potential;
  std::vector<double>& psi = result.warm.channel_potential;
  const double along = channels_.in_phase;
  const double aside = std::max(0.0, channels_.square - along * along);
  for (std::size_t c = 0; c < phi.size(); ++c) in_phase_[c] = phi[c] + along * psi[c];
  double beyond = 0;
  std::fill(result.heating.begin(), result.heating.end(), 0.0);
  dissipate(result, psi, result.heating, beyond);
  for (double& heating : result.heating) heating *= aside;
  result.beyond_power = aside * beyond;
  dissipate(result, in_phase_, result.heating, result.beyond_power);
  result.surface_power = 0;
  result.inflow = along;
  for (std::size_t f = 0; f < contact_.faces.size(); ++f) {
    const ContactFace& face = contact_.faces[f];
    const FaceBranch branch{face.half_cell * result.conductivity[face.cell], face_conductance_[f] * face.area};
    const auto add = [&](double share, double cell, double outer, double current) {
      const double surface = branch.surface(cell, outer, current);
      result.heating[face.cell] += share * branch.half * (surface - cell) * (surface - cell);
      return share * (outer - surface) * (outer - surface);
    };
    const double gap_square =
        add(1, in_phase_[face.cell], 1, along * gap_.share[f]) + add(aside, psi[face.cell], 0, gap_.share[f]);
    result.gap_voltage[f] = std::sqrt(gap_square);
    result.contact_power[f] = branch.layer * gap_square;
    result.spark_power[f] = gap_.share[f] * channels_.drop_power;
    result.root_power[f] = gap_.share[f] * channels_.root_power;
    result.surface_power += result.contact_power[f] + result.spark_power[f] + result.root_power[f];
    result.inflow += branch.layer * (1 - branch.surface(in_phase_[face.cell], 1, along * gap_.share[f]));
  }
  add_channels_beside(along, aside, result);
  result.volume_power = 0;
  for (double heating : result.heating) result.volume_power += heating;
}

}  // namespace dryfront
