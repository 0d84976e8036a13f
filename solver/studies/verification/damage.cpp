// Damage: constant temperature, ramps, and the steps the controller really takes.
#include "physics/damage.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double no_floor = -200;  // [C]

struct Kinetics {
  const char* name;
  double frequency, energy;
};
constexpr Kinetics skin{"skin", 3.1e98, 6.28e5}, liver{"liver", 7.39e39, 2.577e5}, artery{"artery", 5.6e63, 4.3e5};

std::vector<Finding> isothermal(Effort) {
  struct Row {
    Kinetics kinetics;
    double temperature, seconds;
  };
  const Row rows[] = {{skin, 50, 1042.044189619618},
                      {skin, 60, 0.9352611126635056},
                      {liver, 60, 3.430753351085485},
                      {liver, 80, 0.0176677575004378},
                      {artery, 70, 50.76551443171704}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    const DamagePairRates pair = damage_rates(row.kinetics.frequency, row.kinetics.energy, no_floor);
    findings.push_back(finding(std::string(row.kinetics.name) + " at " +
                                   std::to_string(static_cast<int>(row.temperature)) + " C, time to Omega = 1 [s]",
                               row.seconds, 1 / arrhenius_rate(pair, row.temperature), 1e-9));
  }
  return findings;
}

std::vector<Finding> ramps(Effort) {
  struct Row {
    Kinetics kinetics;
    double total;
  };
  const Row rows[] = {{skin, 1647.446064204803}, {liver, 15.79903154666355}, {artery, 0.05068504686353583}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    const DamagePairRates pair = damage_rates(row.kinetics.frequency, row.kinetics.energy, no_floor);
    const double omega = damage_over_ramp(pair, 37, 70, 33 / 2.0) + damage_over_ramp(pair, 70, 70, 1) +
                         damage_over_ramp(pair, 70, 37, 33 / 5.0);
    findings.push_back(finding(std::string(row.kinetics.name) + ", 2 K/s to 70 C, 1 s there, 5 K/s back, Omega",
                               row.total, omega, 1e-6));
  }
  return findings;
}

// Omega of the pairs in the first cell at the end of a run, at the controller's own steps.
std::vector<double> omega_after_run(const Case& c) {
  Frame last;
  Observer observer;
  observer.frame = [&](int, const Frame& frame) { last = frame; };
  run(c, Grid(equal_faces(c.specimen.radius, 3), equal_faces(c.specimen.depth, 4)), observer, 1);
  std::vector<double> omega;
  for (const auto& pair : last.omega) omega.push_back(pair[0]);
  return omega;
}

std::vector<Finding> controlled_steps(Effort) {
  constexpr double heat = 3.78e6, sigma = 0.5, depth = 0.003, perfusion = 4e5;
  std::vector<Finding> findings;
  const Kinetics all[] = {liver, skin, artery};

  // A ramp of 2 K/s to 70 C, then 1 s there. The first pair is the one that would stop perfusion.
  Case c = plain_case(constant_tissue(sigma, 0.5, heat), 0.003, depth, depth * std::sqrt(2 * heat / sigma));
  for (const Kinetics& kinetics : all)
    c.damage.push_back({kinetics.name, kinetics.frequency, kinetics.energy, no_floor, ""});
  c.modes[0].activation = 16.5;
  c.modes[0].after = 1;
  c.output.frames = 1;
  std::vector<double> omega = omega_after_run(c);
  const double ramp[] = {8.152258216717987, 611.4132016933313, 0.02213331087947426};  // of liver, skin, artery
  for (std::size_t p = 0; p < std::size(all); ++p) {
    const DamagePairRates pair = damage_rates(all[p].frequency, all[p].energy, no_floor);
    const double exact = ramp[p] + arrhenius_rate(pair, 70);
    findings.push_back(finding(std::string(all[p].name) + ", run of a ramp of 2 K/s to 70 C and 1 s there, Omega",
                               exact, omega[p], 1e-3));
  }

  // Heating against perfusion: the temperature bends towards 77 C, so that a step is no ramp.
  Tissue tissue = constant_tissue(sigma, 0.5, heat);
  tissue.perfusion = perfusion / tissue.blood_heat;
  c = plain_case(tissue, 0.003, depth, depth * std::sqrt(40 * perfusion / sigma));
  c.physics.perfusion = true;
  c.damage = {{"none", 1e-200, 4e4, no_floor, ""}};
  for (const Kinetics& kinetics : all)
    c.damage.push_back({kinetics.name, kinetics.frequency, kinetics.energy, no_floor, ""});
  c.modes[0].activation = 25;
  c.output.frames = 1;
  omega = omega_after_run(c);
  for (std::size_t p = 0; p < std::size(all); ++p) {
    const DamagePairRates pair = damage_rates(all[p].frequency, all[p].energy, no_floor);
    const double exact = integral_of(
        [&](double t) { return arrhenius_rate(pair, 77 - 40 * std::exp(-t * perfusion / heat)); }, 0, 25, 400);
    findings.push_back(finding(std::string(all[p].name) + ", run of 25 s towards 77 C against perfusion, Omega", exact,
                               omega[p + 1], 1e-3));
  }
  return findings;
}

std::vector<Finding> equivalent_minutes(Effort) {
  struct Hold {
    double temperature, seconds;
  };
  const Hold steps[] = {{38, 600}, {41, 600}, {44, 300}, {46, 120}, {50, 5}, {42, 600}};
  double sum = 0;
  for (const Hold& hold : steps) sum += cem43_over_ramp(hold.temperature, hold.temperature, hold.seconds);
  return {finding("six temperatures in turn [min]", 39.79166666666667, sum, 1e-12),
          finding("60 C for 0.5 s and 80 C for 0.01 s [min]", 22907584.512,
                  cem43_over_ramp(60, 60, 0.5) + cem43_over_ramp(80, 80, 0.01), 1e-12),
          finding("ramp of 0.05 K/s from 37 to 50 C [min]", 61.31359998319703, cem43_over_ramp(37, 50, 260), 1e-10)};
}

// A column of one temperature at a fixed voltage, whose conductivity rises by a pair of the tissue's own:
// C dT/dt = sigma (1 + beta F) V^2/H^2, dOmega/dt = A exp(-E/(R_g T_K)).
std::vector<Finding> rise_by_own_pair(Effort) {
  constexpr double sigma = 0.5, heat = 3.8e6, radius = 0.003, depth = 0.01, volts = 27, beta = 1.14, until = 24;
  Tissue tissue = constant_tissue(sigma, 0.5, heat);
  tissue.coagulation_rise = beta;
  tissue.coagulation_frequency = 1.95e36;
  tissue.coagulation_energy = 2.515e5;
  Case c = plain_case(tissue, radius, depth, volts);
  c.specimen.start = c.specimen.surroundings = 60;
  const DamagePairRates pair = damage_rates(tissue.coagulation_frequency, tissue.coagulation_energy, no_floor);

  // Runge and Kutta's fourth-order steps.
  constexpr int steps = 4000;
  constexpr double dt = until / steps;
  using Pair = std::array<double, 2>;  // T, Omega
  const auto conducts = [&](double omega) { return sigma * (1 - beta * std::expm1(-omega)); };
  const auto rate = [&](const Pair& y) {
    return Pair{conducts(y[1]) * volts * volts / (depth * depth) / heat, arrhenius_rate(pair, y[0])};
  };
  const auto moved = [](const Pair& y, const Pair& by, double h) { return Pair{y[0] + h * by[0], y[1] + h * by[1]}; };
  Pair exact{60, 0};
  for (int k = 0; k < steps; ++k) {
    const Pair a = rate(exact), b = rate(moved(exact, a, dt / 2)), m = rate(moved(exact, b, dt / 2)),
               e = rate(moved(exact, m, dt));
    for (std::size_t i = 0; i < 2; ++i) exact[i] += dt / 6 * (a[i] + 2 * b[i] + 2 * m[i] + e[i]);
  }
  const double load = depth / (conducts(exact[1]) * std::numbers::pi * radius * radius);

  std::vector<double> temperature_errors, load_errors;
  double temperature = 0, resistance = 0;
  for (int level = 0; level < 4; ++level) {
    Bench bench(c, Grid(equal_faces(radius, 2), equal_faces(depth, 4)));
    State state = bench.start(true);
    bench.march(state, until, 60 << level);
    temperature = at_point(bench.grid(), state.fields.temperature, 0, depth / 2);
    resistance = state.electric.resistance;
    temperature_errors.push_back(std::abs(temperature - exact[0]));
    load_errors.push_back(std::abs(resistance - load));
  }
  return {with_order(finding("temperature [C], of its rise", exact[0], temperature, 1e-4, exact[0] - 60),
                     observed_order(temperature_errors), 1.8, 2.2),
          with_order(finding("load [ohm]", load, resistance, 1e-3), observed_order(load_errors), 1.8, 2.2)};
}

}  // namespace

std::vector<VerificationCheck> damage_checks() {
  return {{"A1", "Arrhenius, constant temperature",
           "Omega = A t exp(-E/RT): F. C. Henriques, Arch. Pathol. 43 (1947) 489 (from memory)", isothermal},
          {"A2", "Arrhenius, ramps", "exponential integrals: J. H. Flynn, Thermochim. Acta 300 (1997) 83 (from memory)",
           ramps},
          {"A2b", "Arrhenius at the steps the controller takes",
           "exponential integrals as in A2; Gauss quadrature of the exact temperature", controlled_steps},
          {"A3", "Equivalent minutes at 43 C",
           "S. A. Sapareto and W. C. Dewey, Int. J. Radiat. Oncol. Biol. Phys. 10 (1984) 787 (abstract)",
           equivalent_minutes},
          {"A4", "Rise of the conductivity by a pair of its own",
           "two ordinary differential equations by Runge and Kutta's method", rise_by_own_pair}};
}

}  // namespace dryfront
