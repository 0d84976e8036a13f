// ElectricSolver of charge: the potential, the heating and the operating point of the source, found together.
#pragma once

#include <span>
#include <vector>

#include "numerics/anderson.hpp"
#include "numerics/elliptic_solver.hpp"
#include "physics/contact.hpp"
#include "physics/rim_gap.hpp"
#include "physics/source.hpp"
#include "physics/spark_gap.hpp"

namespace dryfront {

// Conductance from a boundary cell to V = 0 outside, per unit conductivity [m]; see far_voltage().
struct FarVoltageCells {
  std::vector<std::size_t> cell;
  std::vector<double> to_zero;    // the half cell and what lies beyond it, in series
  std::vector<double> half_cell;  // the half cell alone; its dissipation heats the cell
};

enum class FarVoltageKind { half_space, grounded, insulated };

// half_space: dV/dn = -V (n.x)/|x|^2, the decay of the field of a small electrode on an endless half-space (about an
// axis only: that of a long one goes on for ever as a logarithm);
// grounded: V = 0 on the face. `inner` and `outer` confine the grounded bottom to a pad [m].
FarVoltageCells far_voltage(const Grid& grid, FarVoltageKind side, FarVoltageKind bottom, double inner, double outer);

// What one electric solve is asked.
struct ElectricInput {
  std::span<const double> conductivity;  // sigma(T, s) per cell [S/m]
  std::span<const double> breakdown;     // sigma_arc (1 - s)^2 per cell, or empty [S/m]
  double breakdown_threshold = 0;        // E_b / crest factor, rms [V/m]
  std::span<const ContactLaw> contact;   // one per face, or empty for a perfect contact
  double strike_threshold = 0;           // V_strike / crest factor, rms [V]
  const SparkGap* sparks = nullptr;      // sparks as channels, beside laws without sparks of their own; or none
  const RimGap* rim = nullptr;           // beside the contact, for channels that may land there; or none
  const StrikingTable* striking = nullptr;
  const Source* source = nullptr;
  double crest_factor = 1;
  std::span<const double>
      injected;  // current fed into every cell beside the electrode's, per volt of V_e, or empty [A/V]
};

// Where the next solve starts from: a solve is a function of its input and of this alone.
struct ElectricWarmStart {
  std::vector<double> unit_potential;     // for V_e = 1 V, per cell
  std::vector<double> current_density;    // |J| per cell [A/m2]
  std::vector<double> face_density;       // J per face [A/m2]
  double unit_current = 0;                // into the tissue at V_e = 1 V
  std::vector<double> channel_potential;  // of 1 A through the channels with the electrode at 0 V, per cell
  double channel_resistance = 0;          // that this current sees [ohm]
};

// What it answers. Powers are averages over the waveform.
struct ElectricState {
  std::vector<double> potential;      // per cell, rms [V]
  std::vector<double> conductivity;   // sigma_eff per cell [S/m]
  std::vector<double> heating;        // per cell, without the contact's [W]
  std::vector<double> gap_voltage;    // per face, rms [V]
  std::vector<double> contact_power;  // per face, through the wet contact and the leak [W]
  std::vector<double> spark_power;    // per face; of channels their drop [W]
  std::vector<double> root_power;     // per face, where the current narrows to the channels' roots [W]
  std::vector<double> rim_spark;      // per cell of the free surface, drop of the channels that land there [W]
  std::vector<double> rim_root;       // the same, at their roots [W]
  double root_radius = 0;             // of a channel [m]
  double resistance = 0;              // [ohm]
  double rms = 0;                     // V_e [V]
  double current = 0;                 // rms [A]
  double inflow = 0;                  // through the face as the potential has it; `current` is from the power [A]
  double power = 0;                   // [W]
  double volume_power = 0;            // sum of heating [W]
  double surface_power = 0;           // sum of the powers per face and beside it [W]
  double beyond_power = 0;            // dissipated outside the grid (half-space) [W]
  double arcing_share = 0;            // of the current, through sparks [-]
  double residual = 0;                // of the nonlinear iteration: power-weighted relative change of the conductances
  int solves = 0;                     // of the potential; while channels conduct, each with one of theirs beside it
  int iterations = 0;                 // of the linear solver, summed
  bool converged = false;
  ElectricWarmStart warm;  // beside `solves` and `residual`, which tell how exact the first pass has to be
};

// Solves  div(sigma_eff grad V) = 0  with the contact law, the far boundary and the source.
//
// Breakdown and striking raise a conductance with the field across it. The conductances are renewed at the current they
// carry, not at the field (for each cell and face the field is found at which its law carries the last current): this
// lowers the complementary energy of the monotone problem in every pass (Kacanov's iteration in the dual variable),
// where renewing at the field overshoots and chatters. Near the solution, Anderson mixing of the logarithms, weighted
// with the power, speeds it up; where it makes the residual worse it starts anew from a plain pass.
// It ends when the residual is at most `tolerance`.
//
// Sparks as channels leave the conductances as they are. Within a cycle the field is u phi + i psi, phi that of 1 V at
// the electrode and psi that of 1 A through the channels with the electrode at 0 V, where i = (theta |u| - V_d)/R while
// a channel conducts (spark_gap.hpp). The heating is the mean of its square, hence that of two fields that do not vary:
//   <u^2> |grad(phi + (<u i>/<u^2>) psi)|^2 + (<i^2> - <u i>^2/<u^2>) |grad psi|^2
class ElectricSolver {
 public:
  ElectricSolver(const Grid& grid, const ContactGeometry& contact, FarVoltageCells far);

  // Starts from result.warm, the potential and the currents of an earlier solve, where there is one. result.converged
  // is false when the iteration did not reach the tolerance or a number was not finite.
  void solve(const ElectricInput& input, ElectricState& result);

  static constexpr double tolerance = 1e-6;

 private:
  static constexpr int most_iterations = 100;  // of one linear solve
  void make_room(const ElectricInput& input, ElectricState& result) const;
  void find_nonlinear(const ElectricInput& input);
  void renew_conductances(const ElectricInput& input, ElectricState& result);
  double mix(const ElectricInput& input, const ElectricState& result);
  void take(const ElectricInput& input, ElectricState& result);
  void assemble(const ElectricInput& input, const ElectricState& result);
  double distribute_power(const ElectricInput& input, ElectricState& result);
  void dissipate(const ElectricState& result, std::span<const double> potential, std::span<double> heating,
                 double& beyond) const;
  bool spark(const ElectricInput& input, double allowed, double unstruck, ElectricState& result);
  void feed_channels(const ElectricState& result);
  double land(const ElectricInput& input, const ElectricState& result);
  double channels_resistance(const ElectricState& result);
  void add_channels_beside(double along, double aside, ElectricState& result) const;
  void add_channels(ElectricState& result);
  void set_operating_point(const ElectricInput& input, ElectricState& result);

  const Grid& grid_;
  const ContactGeometry& contact_;
  FarVoltageCells far_;
  EllipticSolver solver_;
  FluxOperator op_;
  std::vector<double> right_side_;
  std::vector<double> face_conductance_;  // of the contact layer per area [S/m2]
  std::vector<double> face_link_;         // layer and half cell in series [S]
  std::vector<double> volume_;
  SparkGap gap_;  // with what it strikes and where its channels land
  ChannelCurrents channels_;
  std::vector<double> face_open_;  // theta of the tissue's surface, per face [-]
  std::vector<double> in_phase_;   // phi + <u i>/<u^2> psi [-]
  AndersonMixing mixing_{6};
  std::vector<std::size_t> nonlinear_;              // cells whose conductivity rises with the field
  std::vector<double> present_, renewed_, weight_;  // logarithms: nonlinear cells, then faces
};

}  // namespace dryfront
