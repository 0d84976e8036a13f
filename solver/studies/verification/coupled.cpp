// Charge and heat together: Kohlrausch's relation, a return pad on layers, the order of the whole step in time.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "studies/verification/electric_setup.hpp"
#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

constexpr double sigma = 0.5, beta = 0.015, k = 0.5, held = 37, volts = 16;

// Both electrodes at V and 0, both held at one temperature, the rest insulated for charge and heat.
Case kohlrausch_case(double radius, double depth, double electrode_radius) {
  Tissue tissue = constant_tissue(sigma, k, 3.78e6);
  tissue.conductivity_per_C = beta;
  tissue.boiling_point = 1000;  // the rise with temperature goes on
  Case c = plain_case(tissue, radius, depth, volts);
  c.physics.conductivity_rises = true;
  c.electrode.radius = electrode_radius;
  c.electrode.heat = ElectrodeHeat::held;
  c.electrode.heat_transfer = 0;  // an ideal contact
  c.specimen.bottom_heat = FarHeat::held;
  return c;
}

// Marched to in steps far longer than the thin cells at the edge need: only a stable step gets there.
State steady(Bench& bench) {
  State state = bench.start(true);
  bench.march(state, 240, 120);
  return state;
}

std::vector<Finding> kohlrausch(Effort effort) {
  const double greatest = kohlrausch_temperature(volts / 2, volts, k, sigma, beta, held) - held;
  std::vector<Finding> findings;

  constexpr double depth = 0.003, slab_radius = 0.002;
  std::vector<double> rises, currents;
  double rise = 0, current = 0;
  const double density = 3708.93189513048 * pi * slab_radius * slab_radius;
  for (int level = 0; level < 3; ++level) {
    Bench bench(kohlrausch_case(slab_radius, depth, slab_radius),
                Grid(equal_faces(slab_radius, 3), equal_faces(depth, 16 << level)));
    const State state = steady(bench);
    // The greatest value lies between the two middle cells.
    rise = at_point(bench.grid(), state.fields.temperature, 0, depth / 2) - held;
    current = state.electric.current;
    rises.push_back(std::abs(rise - greatest));
    currents.push_back(std::abs(current - density));
  }
  findings.push_back(
      with_order(finding("slab, greatest rise [K]", greatest, rise, 1e-3), observed_order(rises), 1.8, 2.2));
  findings.push_back(
      with_order(finding("slab, current [A]", density, current, 1e-3), observed_order(currents), 1.8, 2.2));

  constexpr double a = 0.001;
  const int members = effort == Effort::quick ? 4 : 5;
  double disc_rise = 0;
  for (int level = 0; level < members; ++level) {
    Bench bench(kohlrausch_case(0.004, 0.003, a), disc_grid(a, 0.004, 0.003, {}, level));
    const State state = steady(bench);
    disc_rise = *std::max_element(state.fields.temperature.begin(), state.fields.temperature.end()) - held;
    current = state.electric.current;
  }
  findings.push_back(finding("disc on a cylinder, greatest rise [K]", greatest, disc_rise, 1e-3));
  findings.push_back(finding("disc on a cylinder, current [A]", 0.05004292717546144, current, 1e-3));
  return findings;
}

std::vector<Layer> skin_fat_muscle() {
  return {{constant_tissue(0.2, 0.37, 3.76e6), 0.0015},
          {constant_tissue(0.045, 0.21, 2.14e6), 0.008},
          {constant_tissue(0.5, 0.49, 3.73e6), 0.03}};
}

std::vector<Finding> return_pad(Effort effort) {
  constexpr double b = 0.05, depth = 0.0395;
  std::vector<Finding> findings;
  Case c = plain_case(constant_tissue(1, 1, 1), b, depth, 1e9);
  c.specimen.layers = skin_fat_muscle();
  c.specimen.bottom_heat = FarHeat::held;
  c.modes[0].source.current_limit = 0.7;
  const double stops[] = {0.0015, 0.0095};
  const double marks[] = {0.0, 0.0015, 0.0095};
  const double exact[] = {0.1729464383110444, 0.8477679040146658, 2.170801186316304};
  const double times[] = {10, 30, 60};
  std::vector<double> errors, computed(3);
  for (int level = 0; level < 3; ++level) {
    const Grading grading{std::ldexp(3e-4, -level), 1 + std::ldexp(0.1, -level), std::ldexp(2e-3, -level)};
    Bench bench(c, Grid(equal_faces(b, 3), graded_faces(0, depth, stops, marks, grading)));
    State state = bench.start(true);
    if (level == 0) {
      findings.push_back(finding("layers in series under a face that covers them [ohm]", 31.229736611143018,
                                 state.electric.resistance, 1e-9));
    }
    for (std::size_t n = 0; n < 3; ++n) {
      bench.march(state, times[n], 20 << level);
      // No flux crosses the surface, so that the profile is even there.
      const std::vector<double>& z = bench.grid().z();
      const double first = state.fields.temperature[0];
      const double second = state.fields.temperature[bench.grid().index(0, 1)];
      computed[n] = first + (first - second) * z[0] * z[0] / (z[1] * z[1] - z[0] * z[0]) - 37;
    }
    errors.push_back(std::abs(computed[2] - exact[2]));
  }
  for (std::size_t n = 0; n < 3; ++n) {
    const Finding f =
        finding("0.7 A uniformly, rise of the skin after " + std::to_string(static_cast<int>(times[n])) + " s [K]",
                exact[n], computed[n], 1e-3);
    findings.push_back(n == 2 ? with_order(f, observed_order(errors), 1.7, 2.4) : f);
  }

  std::vector<double> resistance_errors;
  double resistance = 0;
  const int members = effort == Effort::quick ? 4 : 5;
  for (int level = 0; level < members; ++level) {
    const double far = b + 10 * depth;
    const Grading grading = graded_to_edge(b / 20, 1.3, 0.04, level);
    const double edge[] = {b};
    const Grid grid(graded_faces(0, far, edge, edge, grading), graded_faces(0, depth, stops, marks, grading));
    resistance = conduct(grid, disc_contact(grid, b),
                         far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::grounded, 0, 1e9),
                         [](double z) { return z < 0.0015   ? 0.2
                                               : z < 0.0095 ? 0.045
                                                            : 0.5; })
                     .result.resistance;
    resistance_errors.push_back(std::abs(resistance / 21.422633341198544 - 1));
  }
  findings.push_back(
      with_order(finding("pad of one potential on wide layers [ohm]", 21.422633341198544, resistance, 1e-3),
                 observed_order(resistance_errors), 1.7, 2.3));
  return findings;
}

// The whole step: rising conductivity, constant power, perfusion that dies, a contact, an electrode. No exact solution;
// the error is told from the differences between steps halved.
std::vector<Finding> step_in_time(Effort) {
  Tissue tissue = constant_tissue(0.35, 0.52, 3.8e6);
  tissue.conductivity_per_C = 0.0182;
  tissue.perfusion = 0.02;
  Case c = plain_case(tissue, 0.012, 0.012, 1);
  c.physics.conductivity_rises = c.physics.perfusion = true;
  c.specimen.side_voltage = c.specimen.bottom_voltage = FarVoltage::half_space;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::held;
  c.specimen.air_heat_transfer = 10;
  c.electrode.radius = 0.003;
  c.electrode.contact = ContactKind::spots;
  c.electrode.heat = ElectrodeHeat::lumped;
  c.electrode.capacity = 0.5;
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, ""}};
  c.modes[0].source.kind = SourceKind::constant_power;
  c.modes[0].source.setting = 4;
  const double edge[] = {0.003};
  const double surface[] = {0.0};
  const Grading grading{2e-4, 1.2, 2e-3};
  const Grid grid(graded_faces(0, 0.012, edge, edge, grading), graded_faces(0, 0.012, {}, surface, grading));
  std::vector<double> temperature, resistance, omega;
  for (int level = 0; level < 5; ++level) {
    Bench bench(c, grid);
    State state = bench.start(true);
    bench.march(state, 6, 20 << level);
    temperature.push_back(at_point(grid, state.fields.temperature, 0, 0.001));
    resistance.push_back(state.electric.resistance);
    omega.push_back(std::log(at_point(grid, state.fields.omega[0], 0, 0.001)));
  }
  const auto told = [](const std::string& quantity, const std::vector<double>& value, double scale) {
    const std::size_t n = value.size();
    const double last = value[n - 1] - value[n - 2];
    return with_order(finding(quantity, value[n - 1] + last / 3, value[n - 1], 1e-4, scale),
                      std::log2((value[n - 2] - value[n - 3]) / last), 1.7, 2.4);
  };
  return {
      told("temperature on the axis, 1 mm deep [C], against its extrapolation", temperature, temperature.back() - 37),
      told("load [ohm], against its extrapolation", resistance, resistance.back()),
      told("ln Omega on the axis, 1 mm deep, against its extrapolation", omega, 1)};
}

}  // namespace

std::vector<VerificationCheck> coupled_checks() {
  return {{"C1", "Kohlrausch's relation on a slab and under a disc",
           "F. Kohlrausch, Ann. Phys. 306 (1900) 132; J. A. Greenwood and J. B. P. Williamson, Proc. R. Soc. A 246 "
           "(1958) 13 "
           "(both from memory); geometric factor of the disc as in E4",
           kohlrausch},
          {"D1", "Return pad on skin, fat and muscle",
           "layered slab by Laplace transform and surface kernel, computed for this check by an independent program; "
           "layers "
           "invented",
           return_pad},
          {"T1", "Order of the whole step in time", "Richardson's extrapolation (no exact solution)", step_in_time}};
}

}  // namespace dryfront
