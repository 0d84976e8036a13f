// Boil-off: a cell that heats, boils dry and heats on; a drying front behind a hot wall; the ledgers of a boiling case.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double wet = 3.78e6, dry = 1e6;       // [J/(m3 K)]
constexpr double start = 37, boil = 100;        // [C]
constexpr double latent = 750 * 2.257e6;        // W0 L [J/m3]
constexpr double slab = 0.003, radius = 0.003;  // [m]

Tissue boiling_tissue() {
  Tissue tissue = constant_tissue(0.5, 0.5, wet);
  tissue.dry_heat_ratio = dry / wet;
  tissue.water_fraction = 0.75;
  tissue.conductivity_floor = 1e-9;
  return tissue;
}

Case boiling_case(const Tissue& tissue, double rms) {
  Case c = plain_case(tissue, radius, slab, rms);
  c.physics.boil_off = true;
  return c;
}

Grid one_body() { return Grid(equal_faces(radius, 3), equal_faces(slab, 4)); }

void heat_uniformly(const Grid& grid, double q, State& state) {
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) state.heat_source[grid.index(i, j)] = q * grid.volume(i, j);
  }
}

std::vector<Finding> constant_power(Effort) {
  constexpr double q = 1e8;
  const double t_dry = wet * (boil - start) / q + latent / q;
  const double t_mid = wet * (boil - start) / q + 0.5 * latent / q;
  Bench bench(boiling_case(boiling_tissue(), 1), one_body());
  State state = bench.start(false);
  heat_uniformly(bench.grid(), q, state);
  bench.march(state, t_mid, 7);
  std::vector<Finding> findings{finding("water left half way through the boiling", 0.5, state.fields.water[0], 1e-9),
                                finding("temperature while boiling [C]", boil, state.fields.temperature[0], 1e-12)};
  bench.march(state, 1.1 * t_dry, 5);
  findings.push_back(
      finding("temperature at 1.1 times the dry-out time [C]", 293.089, state.fields.temperature[0], 1e-9));
  return findings;
}

std::vector<Finding> perfused_power(Effort) {
  constexpr double q = 1e8, perfusion = 40000;
  const double tau = wet / perfusion;
  const double settled = start + q / perfusion;
  const double t_boil = -tau * std::log((settled - boil) / (settled - start));
  const auto water_after = [&](bool stops, double t, int steps) {
    Tissue tissue = boiling_tissue();
    tissue.perfusion = perfusion / tissue.blood_heat;
    Case c = boiling_case(tissue, 1);
    c.physics.perfusion = true;
    // A death of perfusion at boiling: a pair that counts from there, and fast.
    if (stops) c.damage = {{"dies at boiling", 1e12, 4e4, boil, ""}};
    Bench bench(c, one_body());
    State state = bench.start(false);
    heat_uniformly(bench.grid(), q, state);
    bench.march(state, t, steps);
    return state.fields.water[0];
  };
  std::vector<Finding> findings;
  for (const bool stops : {false, true}) {
    const double t_dry = t_boil + latent / (stops ? q : q - perfusion * (boil - start));
    const double t = 0.5 * (t_boil + t_dry);
    const std::string name = std::string("water left half way, perfusion ") + (stops ? "dies at boiling" : "kept");
    findings.push_back(finding(name, 0.5, water_after(stops, t, 400), 1e-3));
  }
  return findings;
}

// Heating by current at a given field or current density, conductivity rising with temperature, falling with the water.
std::vector<Finding> current_heated(Effort) {
  constexpr double sigma = 0.5, beta = 0.015, field = 15000, density = 8000, left_dry = 0.02;
  const double area = std::numbers::pi * radius * radius;
  const double at_boil = sigma * (1 + beta * (boil - start));
  std::vector<Finding> findings;
  for (const bool by_field : {true, false}) {
    Tissue tissue = boiling_tissue();
    tissue.conductivity_per_C = beta;
    tissue.saturation_exponent = 1;
    tissue.residual_saturation = -left_dry / (1 - left_dry);  // sigma = at_boil (left_dry + (1 - left_dry) s)
    Case c = boiling_case(tissue, by_field ? field * slab : 1e9);
    c.physics.conductivity_rises = true;
    if (!by_field) c.modes[0].source.current_limit = density * area;

    const double rise = boil - start;
    const double t_boil = by_field ? wet * std::log(1 + beta * rise) / (sigma * field * field * beta)
                                   : wet * sigma * (rise + beta * rise * rise / 2) / (density * density);
    const double drying = by_field ? latent * std::log(1 / left_dry) / (field * field * at_boil * (1 - left_dry))
                                   : latent * at_boil * (1 + left_dry) / (2 * density * density);
    const double t_warm = 0.9 * t_boil;
    const double warm = by_field ? std::expm1(beta * sigma * field * field * t_warm / wet) / beta
                                 : (std::sqrt(1 + 2 * beta * density * density * t_warm / (wet * sigma)) - 1) / beta;
    const double water_half = by_field ? 0.1238993430992954 : 0.7012736616362009;

    std::vector<double> warm_errors;
    double warm_computed = 0, water_computed = 0;
    for (int level = 0; level < 3; ++level) {
      Bench bench(c, one_body());
      State state = bench.start(true);
      bench.march(state, t_warm, 40 << level);
      warm_computed = state.fields.temperature[0] - start;
      warm_errors.push_back(std::abs(warm_computed - warm));
      bench.march(state, t_boil + 0.5 * drying, 50 << level);
      water_computed = state.fields.water[0];
    }
    const std::string at = by_field ? "constant field" : "constant current";
    findings.push_back(with_order(finding("rise at 0.9 of the time to boil, " + at + " [K]", warm, warm_computed, 1e-4),
                                  observed_order(warm_errors), 1.8, 2.3));
    // Which step boiling begins in changes with their number: no smooth order.
    findings.push_back(finding("water left at half the drying time, " + at, water_half, water_computed, 1e-4, 1));
  }
  return findings;
}

std::vector<Finding> drying_front(Effort effort) {
  constexpr double wall = 250, k_dry = 0.25, heat_dry = 1.2e6, t = 20, depth = 0.012;
  std::vector<Finding> findings;
  for (const bool two_phase : {false, true}) {
    const double initial = two_phase ? start : boil;
    const DryingFront front{k_dry, heat_dry, 0.5, wet, wall, boil, initial, 700 * 2.257e6};
    const double lambda = drying_front_lambda(front);
    const double diffusivity = k_dry / heat_dry;
    const double exact = 2 * lambda * std::sqrt(diffusivity * t);
    const double place = 0.4 * exact;
    const double exact_temperature =
        wall - (wall - boil) * std::erf(place / (2 * std::sqrt(diffusivity * t))) / std::erf(lambda);
    Tissue tissue = boiling_tissue();
    tissue.dry_conduction = k_dry;
    tissue.dry_heat_ratio = heat_dry / wet;
    tissue.water_fraction = 0.7;
    Case c = boiling_case(tissue, 1);
    c.specimen.depth = depth;
    c.specimen.start = wall;  // of the electrode; the tissue is set below
    c.electrode.heat = ElectrodeHeat::held;
    c.electrode.heat_transfer = 0;
    std::vector<double> sizes, errors;
    double computed = 0, temperature = 0;
    const int members = effort == Effort::quick ? 3 : 4;
    for (int level = 0; level < members; ++level) {
      const double size = std::ldexp(1e-4, -level);
      Bench bench(c, Grid(equal_faces(radius, 3), growing_faces(size, 0.0015, 1 + std::ldexp(0.2, -level), depth)));
      State state = bench.start(false);
      std::fill(state.fields.temperature.begin(), state.fields.temperature.end(), initial);
      bench.march(state, t, 100 << level);
      computed = 0;
      for (int j = 0; j < bench.grid().rows(); ++j) {
        computed += (1 - state.fields.water[bench.grid().index(0, j)]) * bench.grid().height(j);
      }
      temperature = at_point(bench.grid(), state.fields.temperature, 0, place);
      sizes.push_back(size);
      errors.push_back(std::abs(computed - exact));
    }
    const std::string name = two_phase ? "wet tissue at 37 C" : "wet tissue at 100 C";
    findings.push_back(with_order(
        finding("dried depth after 20 s, " + name + " [m], error in cells", exact, computed, 1, sizes.back()),
        fitted_order(sizes, errors), 0.85, 2.3));
    findings.push_back(
        finding("temperature at 0.4 of it, " + name + " [C]", exact_temperature, temperature, 5e-3, wall - boil));
  }
  return findings;
}

// What tissue holds at a temperature, as published: a loss of 3e-5 at 70 C is left out by the program.
double held(double T) {
  if (T <= 70) return 1;
  return T < 103.608 ? 1 - std::exp((T - 106) / 3.42) : std::exp(-(T - 80) / 34.37);
}

// Heat that water loss between 70 C and T takes: integral by the midpoint rule of f(T, s), f a heat per kelvin, and of
// g(T) against what is lost.   [J/m3]
template <class PerKelvin, class PerLoss>
double heat_up_to(double T, PerKelvin f, PerLoss g) {
  constexpr int parts = 200000;
  const double step = (T - start) / parts;
  double sum = 0;
  for (int k = 0; k < parts; ++k) {
    const double from = start + k * step;
    sum += f(held(from + 0.5 * step)) * step + g(from + 0.5 * step) * (held(from) - held(from + step));
  }
  return sum;
}

std::vector<Finding> bound_water(Effort) {
  constexpr double q = 1e8;
  Case c = boiling_case(boiling_tissue(), 1);
  c.physics.bound_water = true;
  Bench bench(c, one_body());
  State state = bench.start(false), next = state;
  heat_uniformly(bench.grid(), q, state);
  const double volume = std::numbers::pi * radius * radius * slab;
  Ledger ledger;
  std::vector<Finding> findings;
  for (const double t : {2.5, 4.0, 7.0, 12.0, 18.0, 19.5}) {  // at some 99, 102, 104, 111, 164 and 210 C
    constexpr int steps = 7;
    const auto end = static_cast<Ticks>(std::llround(t * ticks_per_second));
    for (int left = steps; left > 0; --left) {
      const StepReport report = bench.stepper().step(state, (end - state.time) / left, next);
      if (!report.converged()) throw NumericalFailure("heat did not converge");
      ledger += report.ledger;
      std::swap(state, next);
    }
    const double T = state.fields.temperature[0], s = state.fields.water[0];
    const double taken = heat_up_to(
        T, [](double left) { return dry + (wet - dry) * left; }, [](double) { return latent; });
    const std::string when = " after " + std::to_string(static_cast<int>(10 * t)) + " tenths of a second";
    findings.push_back(finding("heat taken up" + when + " [J/m3]", taken, q * t, 1e-3));
    findings.push_back(finding("water left" + when, held(T), s, 1e-3));
  }
  const double steam = heat_up_to(
      state.fields.temperature[0], [](double) { return 0.0; }, [](double T) { return (wet - dry) * (T - boil); });
  findings.push_back(finding("heat that steam carries off beside its latent heat, from 100 C [J/m3]", steam,
                             ledger.steam_out / volume, 1e-3));
  return findings;
}

// Everything at once: the three balances close.
Case ledger_case() {
  Tissue tissue = boiling_tissue();
  tissue.conductivity_per_C = 0.02;
  tissue.dry_conduction = 0.2;
  tissue.conductivity_floor = 1e-3;
  tissue.moisture = 1e-8;
  tissue.perfusion = 0.01;
  Case c = boiling_case(tissue, 1);
  c.specimen.radius = c.specimen.depth = 0.012;
  c.specimen.air_heat_transfer = 10;
  c.specimen.side_voltage = c.specimen.bottom_voltage = FarVoltage::half_space;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::held;
  c.electrode.radius = radius;
  c.electrode.contact = ContactKind::spots;
  c.electrode.contact_fraction = 0.1;  // few spots far apart, so that it dries and strikes
  c.electrode.spot_pitch = 1e-3;
  c.electrode.heat = ElectrodeHeat::lumped;
  c.physics = Physics{};
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, ""}};
  c.modes[0].activation = 4;
  c.modes[0].after = 1;
  c.modes[0].waveform.kind = WaveformKind::gated;
  c.modes[0].waveform.duty = 0.06;
  c.modes[0].source.kind = SourceKind::unregulated;
  c.modes[0].source.setting = 40;
  c.modes[0].source.peak_limit = 3000;
  c.grading = {1e-4, 1.2, 1e-3};
  c.output.frames = 1;
  return c;
}

std::vector<Finding> ledgers_of(const Case& c) {
  const double latent_heat = c.specimen.layers[0].tissue.latent;
  const ModeRecord record = run(c, case_grid(c), {}, 1)[0];
  std::vector<Finding> findings{
      finding("electric: |power in - heating| / power in, greatest", 0, record.ledger.electric, 1e-6, 1),
      finding("energy: |in - stored - latent - lost| / in", 0, record.ledger.energy, 1e-4, 1),
      finding("water: |initial - left - boiled off| / initial", 0, record.ledger.water, 1e-4, 1)};
  // A ledger that closes on a case in which nothing boils or strikes would prove little.
  findings.push_back(finding("latent heat over its water, of L", 1,
                             record.ledger.latent / (record.ledger.water_boiled * latent_heat), 1e-9));
  findings.push_back(finding("share of the energy that boils water (expected above 0.05: 1 when so)", 1,
                             record.ledger.latent > 0.05 * record.ledger.electric_in ? 1 : 0, 0));
  findings.push_back(
      finding("arcing within the activation (1 when so)", 1, record.arcing < c.modes[0].activation ? 1 : 0, 0));
  return findings;
}

std::vector<Finding> ledgers(Effort) { return ledgers_of(ledger_case()); }

std::vector<Finding> ledgers_bound(Effort) {
  Case c = ledger_case();
  c.physics.bound_water = true;
  return ledgers_of(c);
}

std::vector<Finding> ledgers_vapour(Effort) {
  Case c = ledger_case();
  c.physics.vapour = true;
  return ledgers_of(c);
}

std::vector<Finding> ledgers_all_water(Effort) {
  Case c = ledger_case();
  c.physics.bound_water = c.physics.vapour = true;
  c.physics.steam_kept = 0.5;
  return ledgers_of(c);
}

std::vector<Finding> ledgers_pressed(Effort) {
  Case c = ledger_case();
  c.physics.bound_water = c.physics.vapour = c.physics.pressed_out_water = true;
  return ledgers_of(c);
}

std::vector<Finding> ledgers_plane(Effort) {
  Case c = ledger_case();
  c.specimen.symmetry = Symmetry::plane;
  c.specimen.length = 0.01;
  c.specimen.side_voltage = FarVoltage::insulated;
  c.specimen.bottom_voltage = FarVoltage::grounded;
  c.electrode.radius = 0.25 * radius;
  c.modes[0].source.setting = 60;
  return ledgers_of(c);
}

}  // namespace

std::vector<VerificationCheck> boiling_checks() {
  return {
      {"B1", "Heat to boiling, boil off, reheat at constant power", "energy balance (own)", constant_power},
      {"B1b", "The same in perfused tissue", "energy balance (own)", perfused_power},
      {"B1c", "Heating and drying by current", "energy balance, constant field or current (own)", current_heated},
      {"B2", "Drying front behind a hot wall",
       "similarity solution of Stefan and Neumann: Carslaw and Jaeger (1959) sec. 11.2; V. Alexiades and A. D. Solomon "
       "(1993) (both from memory)",
       drying_front},
      {"B3", "Heating of tissue with bound water", "heat balance; what tissue holds: Yang et al. 2007 (from memory)",
       bound_water},
      {"L1", "Ledgers of a sparking, boiling, perfused case", "conservation", ledgers},
      {"L2", "The same with bound water", "conservation", ledgers_bound},
      {"L3", "The same with vapour", "conservation", ledgers_vapour},
      {"L4", "The same with bound water, vapour and half of the steam kept", "conservation", ledgers_all_water},
      {"L5", "The same with bound water, vapour and pressed-out water", "conservation", ledgers_pressed},
      {"L6", "The same about a plane", "conservation", ledgers_plane}};
}

}  // namespace dryfront
