// Heat: conduction, perfusion, boundaries and boil-off, one implicit stage at a time.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "numerics/elliptic_solver.hpp"
#include "physics/bound_water.hpp"
#include "physics/contact.hpp"

namespace dryfront {

// Where heat can leave to, each with a temperature of its own.
enum class HeatOutlet { air, electrode, far, perfusion };
inline constexpr std::size_t heat_outlets = 4;

// A conductance from one cell to an outlet [W/K].
struct HeatLink {
  std::size_t cell = 0;
  double conductance = 0;
};

// The heat flows out of every cell:  outflow = op T - sum over outlets of link * outlet temperature.
// An electrode with a heat capacity of its own is the node of op instead of an outlet: its temperature stands behind
// the cells', and so in every array of a stage.
struct HeatOperator {
  FluxOperator op;                                        // faces, and in shunt the sum of all links
  std::array<std::vector<HeatLink>, heat_outlets> link;   // per outlet
  std::array<double, heat_outlets> outlet_temperature{};  // [C]
  std::vector<double> inflow;                             // sum of link * outlet temperature per unknown [W]
};

// How cells take up heat during one step, counted from its start (temperature T_0, water s_0).
// A cell that has taken up Y [J] is at
//   T = T_0 + Y/C_wet                            below T_b,             Y <= Y_b = C_wet (T_b - T_0)
//   T = T_b, boiled = (Y - Y_b)/latent           while it boils,        Y_b < Y < Y_b + latent
//   T = T_b + (Y - Y_b - latent)/C_dry, all boiled, above.
// Irreversible: the step that follows starts from the water that is left. Water at T_0 > T_b (it flowed into a hot
// cell) boils at once. latent = 0 switches boil-off off for a cell.
// With bound water, T_b is the temperature from which on the cell holds less than s_0, and above it water boils off as
// T rises: the cell holds s_b(T), and
//   Y = Y_b + integral of [C_dry + s_b (C_wet - C_dry)/s_0] from T_b to T + latent (1 - s_b(T)/s_0)
// T_b costs an iteration. A cell that is far from it may state a lower bound in its place: T_b is found when it comes
// that far.
struct EnthalpyLaw {
  std::vector<double> start;           // T_0 [C]
  std::vector<double> wet;             // C_wet, heat capacity of the cell with its water [J/K]
  std::vector<double> dry;             // C_dry, without [J/K]
  std::vector<double> latent;          // L W0 s_0 volume [J]
  std::vector<double> boiling_point;   // T_b [C]
  const BoundWater* bound = nullptr;   // none: all water boils at T_b
  std::vector<double> water{};         // with bound water: s_0 [-]
  std::vector<double> spare{};         // the same: share of the initial water that the gas space can take up [-]
  std::vector<unsigned char> exact{};  // the same: boiling_point is T_b, not a lower bound of it
};

// One implicit stage: finds T and the heat taken up Y with
//   Y = known + duration (inflow - op T),   T the temperature at Y (see EnthalpyLaw).
// Cells are below, at or above boiling; the set is part of the solution (a semi-smooth Newton method: with the set
// given the system is linear, boiling cells held at T_b; the set is renewed until it stands). With bound water Newton's
// method in Y: the law of each cell is replaced by its tangent at Y until that meets it. The energy of the whole is
// exact.
class HeatStage {
 public:
  HeatStage(int columns, int rows);

  struct Report {
    int passes = 0;      // renewals of the boiling set or of the tangents
    int iterations = 0;  // of the linear solver, summed
    bool converged = false;
  };

  // `temperature` holds a guess on entry and the result on return; `heat` receives Y; `face_temperature` the
  // temperatures with which the fluxes were evaluated (equal to temperature to the solver's tolerance).
  // allowed: error allowed in any cell [K]; or 5e-4 of the guess's change from the start, in the norm of the storage,
  // whichever is more. The second asks for the same on every grid.
  Report solve(const HeatOperator& heat, const EnthalpyLaw& enthalpy, std::span<const double> known, double duration,
               double allowed, std::span<double> temperature, std::span<double> heat_gained,
               std::span<double> face_temperature);

 private:
  enum class Phase : unsigned char { below, boiling, above };
  Report solve_bound(const HeatOperator& heat, const EnthalpyLaw& enthalpy, std::span<const double> known,
                     double duration, double allowed, std::span<double> temperature, std::span<double> heat_gained,
                     std::span<double> face_temperature);
  void assemble_tangents(const HeatOperator& heat, const EnthalpyLaw& enthalpy, std::span<const double> known,
                         double duration, std::span<const double> heat_gained);
  void copy_faces(const HeatOperator& heat);
  // The one change of the temperatures of all that does not boil that makes the heat taken up equal what flowed in.
  double even_shift(std::span<const double> temperature);
  // In the energy norm, see solve().
  static double allowed_error(const EnthalpyLaw& enthalpy, double duration, double allowed,
                              std::span<const double> temperature);

  static constexpr int most_passes = 60;
  static constexpr int most_iterations = 100;
  void assemble(const HeatOperator& heat, const EnthalpyLaw& enthalpy, std::span<const double> known, double duration);
  void balance(const HeatOperator& heat, const EnthalpyLaw& enthalpy, std::span<const double> known, double duration,
               std::span<double> temperature, std::span<double> heat_gained);

  EllipticSolver solver_;
  FluxOperator system_;
  std::vector<double> right_side_, outflow_;
  std::vector<Phase> phase_;
  std::vector<double> tangent_at_, tangent_;  // with bound water: T and dY/dT of the tangents [C], [J/K]
};

// Temperature of a cell that has taken up `heat` since the start of the step   [C]
double temperature_at_enthalpy(const EnthalpyLaw& enthalpy, std::size_t cell, double heat);
// The same from a guess, of use with bound water.
double temperature_at_enthalpy(const EnthalpyLaw& enthalpy, std::size_t cell, double heat, double guess);
// With bound water: heat that a cell has taken up at a temperature, and how it rises with it.
struct BoundHeat {
  double heat, capacity;  // [J], [J/K]
};
BoundHeat bound_enthalpy(const EnthalpyLaw& enthalpy, std::size_t cell, double temperature);
// The temperature at which it has taken up `heat`   [C]
double bound_temperature(const EnthalpyLaw& enthalpy, std::size_t cell, double heat, double guess);
// T_b itself   [C]
double bound_boiling_point(const EnthalpyLaw& enthalpy, std::size_t cell);
// Share of the cell's water that has boiled off by then, in [0, 1]   [-]
double vaporised_fraction(const EnthalpyLaw& enthalpy, std::size_t cell, double heat);
// The same where its temperature is known already, temperature_at_enthalpy() of that heat.
double vaporised_fraction(const EnthalpyLaw& enthalpy, std::size_t cell, double heat, double temperature);

// Fills faces and links from the conductivities per cell and the outlets.
//   air        free surface: film and half cell in series; air [W/(m2 K)]
//   electrode  contact faces: the film of the contact and the half cell in series. `electrode_film`, one value per
//              face [W/(m2 K)]: 0 is an insulated electrode, infinity an ideal contact (the half cell alone)
//   far        half cells of the side and bottom that are held at a temperature
//   perfusion  w_b rho_b c_b (1 - F) volume per cell: `perfusion` [W/K], may be empty
struct HeatBoundaries {
  double air = 0;
  bool electrode_is_node = false;  // the electrode warms up with what it takes
  bool side_held = false;
  bool bottom_held = false;
};
void set_heat_operator(const Grid& grid, const ContactGeometry& contact, const HeatBoundaries& boundaries,
                       std::span<const double> electrode_film, std::span<const double> conductivity,
                       std::span<const double> perfusion, HeatOperator& heat);

// Heat that left through an outlet during `duration` at temperatures T, the electrode's among them if it is a node
// [J]
double outlet_heat(const HeatOperator& heat, HeatOutlet outlet, std::span<const double> temperature, double duration);

}  // namespace dryfront
