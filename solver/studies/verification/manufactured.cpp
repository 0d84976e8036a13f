// A manufactured solution of charge and heat together: order in space and in time, on the axis as elsewhere.
//
// Charge goes through ElectricSolver with its source injected, heat through ModeStepper with its source, the Joule heat
// of ElectricSolver and the exact flux through r = R as heat sources; the top is insulated and the bottom held by the
// solution itself. As in the step of a mode, the Joule heat is taken at the start and at the predicted end.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <utility>

#include "physics/electric.hpp"
#include "studies/verification/manufactured_solution.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

namespace exact = manufactured;

constexpr double end = 10;  // [s]

Case manufactured_case() {
  Tissue tissue = constant_tissue(exact::sigma0, exact::k0, exact::rhoc);
  tissue.conductivity_at = exact::Tref;
  tissue.conductivity_per_C = exact::beta;
  tissue.conduction_per_C = exact::kappa;
  tissue.perfusion = exact::W / tissue.blood_heat;
  tissue.blood = exact::Ta;
  Case c = plain_case(tissue, exact::R, exact::L, 1);
  c.specimen.start = exact::Ta;
  c.specimen.bottom_heat = FarHeat::held;
  c.physics.perfusion = c.physics.conductivity_rises = true;
  // The first pair would stop perfusion; it counts nothing.
  c.damage = {{"none", 1e-200, 4e4, -200, ""}, {"liver", exact::A_arr, exact::Ea, -200, ""}};
  return c;
}

Grid manufactured_grid(Symmetry symmetry, int cells) {
  constexpr double length = 0.01;  // along the plane [m]
  std::vector<double> r_face = equal_faces(exact::R, cells), z_face = equal_faces(exact::L, cells);
  if (symmetry == Symmetry::plane) return {std::move(r_face), std::move(z_face), length};
  return {std::move(r_face), std::move(z_face)};
}

// The sources are those about an axis, whose divergence has a part flux/r more than that about a plane.
class ManufacturedRun {
 public:
  ManufacturedRun(Symmetry symmetry, int cells, int steps)
      : bench_(manufactured_case(), manufactured_grid(symmetry, cells)),
        electric_solver_(bench_.grid(), no_electrode_,
                         far_voltage(bench_.grid(), FarVoltageKind::insulated, FarVoltageKind::grounded, 0,
                                     std::numeric_limits<double>::infinity())),
        state_(bench_.start(false)) {
    const Grid& g = grid();
    for_cells(
        [&](std::size_t c, double r, double z, double) { state_.fields.temperature[c] = exact::temperature(r, z, 0); });
    std::vector<double> joule_start = joule(state_, 0);
    for (int n = 0; n < steps; ++n) {
      const double from = end * n / steps;
      const double to = end * (n + 1) / steps;
      std::vector<double> given(g.cells());
      for_cells([&](std::size_t c, double r, double z, double volume) {
        given[c] = 0.5 * volume * (heat_source(r, z, from) + heat_source(r, z, to));
      });
      const int last = g.columns() - 1;
      for (int j = 0; j < g.rows(); ++j) {
        const double z = g.z()[static_cast<std::size_t>(j)];
        const auto flux = [&](double t) {
          return exact::conduction(exact::R, z, t) * exact::temperature_slope(exact::R, z, t);
        };
        given[g.index(last, j)] += 0.5 * (flux(from) + flux(to)) * g.radial_area(last + 1, j);
      }
      State predicted = state_;
      add(joule_start, given, predicted.heat_source);
      bench_.march(predicted, to, 1);
      const std::vector<double> joule_end = joule(predicted, to);
      std::vector<double> mean(g.cells());
      for (std::size_t c = 0; c < mean.size(); ++c) mean[c] = 0.5 * (joule_start[c] + joule_end[c]);
      add(mean, given, state_.heat_source);
      bench_.march(state_, to, 1);
      joule_start = joule(state_, to);
    }
  }

  const Grid& grid() const { return bench_.grid(); }
  const std::vector<double>& temperature() const { return state_.fields.temperature; }
  const std::vector<double>& omega() const { return state_.fields.omega[1]; }
  double joule_power() const { return conducted_.volume_power; }

  // Root of the mean square error over the volume, and the greatest on the axis.
  double error(bool of_potential, bool on_axis) const {
    double sum = 0, whole = 0, greatest = 0;
    const double axis = grid().r()[0];
    for_cells([&](std::size_t c, double r, double z, double volume) {
      const double e = of_potential ? conducted_.potential[c] - exact::potential(r, z, end)
                                    : state_.fields.temperature[c] - exact::temperature(r, z, end);
      sum += volume * e * e;
      whole += volume;
      if (r == axis) greatest = std::max(greatest, std::abs(e));
    });
    return on_axis ? greatest : std::sqrt(sum / whole);
  }

 private:
  template <class Visit>
  void for_cells(Visit visit) const {
    const Grid& g = grid();
    for (int j = 0; j < g.rows(); ++j) {
      for (int i = 0; i < g.columns(); ++i) {
        visit(g.index(i, j), g.r()[static_cast<std::size_t>(i)], g.z()[static_cast<std::size_t>(j)], g.volume(i, j));
      }
    }
  }

  bool about_axis() const { return grid().symmetry() == Symmetry::axis; }

  double heat_source(double r, double z, double t) const {
    const double of_axis = exact::conduction(r, z, t) * exact::temperature_slope(r, z, t) / r;
    return exact::heat_source(r, z, t) + (about_axis() ? 0.0 : of_axis);
  }

  double charge_source(double r, double z, double t) const {
    const double sigma = exact::sigma0 * (1 + exact::beta * (exact::temperature(r, z, t) - exact::Tref));
    const double square = exact::R * exact::R, turn = std::numbers::pi / exact::L;
    const double slope_over_r = -2 * std::numbers::pi / square * exact::V0 * exact::gam *
                                std::sin(std::numbers::pi * r * r / square) * std::cos(0.5 * turn * z);
    return exact::charge_source(r, z, t) + (about_axis() ? 0.0 : sigma * slope_over_r);
  }

  static void add(const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& sum) {
    for (std::size_t c = 0; c < sum.size(); ++c) sum[c] = a[c] + b[c];
  }

  // Heating by the current at the temperatures of a state.
  std::vector<double> joule(const State& state, double t) {
    const Tissue& tissue = bench_.of().specimen.layers[0].tissue;
    std::vector<double> sigma(grid().cells()), injected(grid().cells());
    for_cells([&](std::size_t c, double r, double z, double volume) {
      sigma[c] = conductivity(tissue, state.fields.temperature[c], 1, true);
      injected[c] = charge_source(r, z, t) * volume;
    });
    const StrikingTable never;
    Source source;
    source.kind = SourceKind::voltage;
    source.rms = 1;
    ElectricInput input;
    input.conductivity = sigma;
    input.injected = injected;
    input.striking = &never;
    input.source = &source;
    electric_solver_.solve(input, conducted_);
    if (!conducted_.converged) throw NumericalFailure("the charge did not converge");
    return conducted_.heating;
  }

  Bench bench_;
  ContactGeometry no_electrode_;
  ElectricSolver electric_solver_;
  ElectricState conducted_;
  State state_;
};

std::vector<Finding> space_and_time(Symmetry symmetry, int members) {
  std::vector<double> temperature, temperature_axis, potential, potential_axis, damage;
  const double exact_omega = 1.790203422834008;
  double omega = 0, joule = 0;
  for (int level = 0; level < members; ++level) {
    const ManufacturedRun run(symmetry, 8 << level, 30 << level);
    temperature.push_back(run.error(false, false));
    temperature_axis.push_back(run.error(false, true));
    potential.push_back(run.error(true, false));
    potential_axis.push_back(run.error(true, true));
    omega = at_point(run.grid(), run.omega(), 0.001, 0.0005);
    damage.push_back(std::abs(omega - exact_omega));
    joule = run.joule_power();
  }
  const std::string where = "on the " + std::string(word_of(symmetry));
  const auto told = [](const std::string& quantity, const std::vector<double>& errors, double scale, double allowed) {
    return with_order(finding(quantity, 0, errors.back() / scale, allowed, 1), observed_order(errors), 1.8, 2.2);
  };
  std::vector<Finding> findings{
      told("temperature, root mean square error over the rise", temperature, exact::dT, 2e-3),
      told("temperature " + where + ", greatest error over the rise", temperature_axis, exact::dT, 2e-3),
      told("potential, root mean square error over its value", potential, exact::V0, 1e-3),
      told("potential " + where + ", greatest error over its value", potential_axis, exact::V0, 1e-3),
      with_order(finding("Omega at r = 1 mm, z = 0.5 mm", exact_omega, omega, 5e-3), observed_order(damage), 1.7, 2.4)};
  double exact_joule = 0;
  const Grid fine = manufactured_grid(symmetry, 400);
  for (int j = 0; j < fine.rows(); ++j) {
    for (int i = 0; i < fine.columns(); ++i) {
      exact_joule += fine.volume(i, j) * exact::joule_heat(fine.r()[static_cast<std::size_t>(i)],
                                                           fine.z()[static_cast<std::size_t>(j)], end);
    }
  }
  findings.push_back(finding("heat of the current in the whole block after 10 s [W]", exact_joule, joule, 1e-3));
  return findings;
}

// Steps alone: one grid, the error told from a run with far more steps on it.
std::vector<Finding> time_alone(Effort effort) {
  constexpr int cells = 12;
  const ManufacturedRun reference(Symmetry::axis, cells, effort == Effort::quick ? 640 : 1280);
  std::vector<double> temperature, damage;
  for (const int steps : {20, 40, 80}) {
    const ManufacturedRun run(Symmetry::axis, cells, steps);
    double greatest = 0, greatest_log = 0;
    for (std::size_t c = 0; c < run.temperature().size(); ++c) {
      greatest = std::max(greatest, std::abs(run.temperature()[c] - reference.temperature()[c]));
      greatest_log = std::max(greatest_log, std::abs(std::log(run.omega()[c] / reference.omega()[c])));
    }
    temperature.push_back(greatest / exact::dT);
    damage.push_back(greatest_log);
  }
  return {with_order(finding("temperature, greatest error over the rise, 80 steps", 0, temperature.back(), 1e-3, 1),
                     observed_order(temperature), 1.8, 2.2),
          with_order(finding("ln Omega, greatest error, 80 steps", 0, damage.back(), 1e-2, 1), observed_order(damage),
                     1.8, 2.2)};
}

}  // namespace

std::vector<VerificationCheck> manufactured_checks() {
  const char* source =
      "P. J. Roache, Verification and Validation in Computational Science and Engineering (1998), from memory; "
      "expressions own, sources derived symbolically";
  return {{"M1", "Manufactured solution, cells and steps halved together", source,
           [](Effort effort) { return space_and_time(Symmetry::axis, effort == Effort::quick ? 4 : 5); }},
          {"M2", "Manufactured solution about a plane, cells and steps halved together", source,
           [](Effort effort) { return space_and_time(Symmetry::plane, effort == Effort::quick ? 4 : 5); }},
          {"M1b", "Manufactured solution, steps halved on one grid", source, time_alone}};
}

}  // namespace dryfront
