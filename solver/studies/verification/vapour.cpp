// Vapour that carries heat and water.
#include "physics/vapour.hpp"

#include <algorithm>
#include <cmath>

#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double latent = 2.257e6, cold = 40, depth = 0.003, radius = 0.003;

// The law again, with another equation for the saturated vapour: Wagner and Pruss 1993, from memory.
double saturated(double T) {
  const double kelvin = T + 273.15, x = 1 - kelvin / 647.096;
  const double sum = -7.85951783 * x + 1.84408259 * std::pow(x, 1.5) - 11.7866497 * std::pow(x, 3) +
                     22.6807411 * std::pow(x, 3.5) - 15.9618719 * std::pow(x, 4) + 1.80122502 * std::pow(x, 7.5);
  return 22.064e6 * std::exp(647.096 / kelvin * sum);
}

std::vector<Finding> conductivities(Effort) {
  std::vector<Finding> findings;
  struct Known {
    double temperature, conductivity, rounded;  // of the page of physics: two digits
    double latent;                              // of water at that temperature, from memory [J/kg]
  };
  for (const auto& [T, conductivity, rounded, latent_there] :
       {Known{60, 0.53, 0.005, 2.358e6}, Known{80, 1.7, 0.05, 2.308e6}, Known{90, 4.2, 0.05, 2.283e6},
        Known{94, 7.5, 0.05, 2.273e6}, Known{98, 24, 0.5, 2.262e6}}) {
    const std::string at = " at " + std::to_string(static_cast<int>(T)) + " C [W/(m K)]";
    const double computed = latent * vapour_diffusion(T);
    findings.push_back(finding("with the latent heat of that temperature, rounded" + at, conductivity,
                               latent_there * vapour_diffusion(T), rounded / conductivity));
    const double kelvin = T + 273.15, pressure = saturated(T), atmosphere = saturated(100);
    const double slope = (saturated(T + 1e-3) - saturated(T - 1e-3)) / 2e-3;
    const double diffusivity = 2.13e-5 * std::pow(kelvin / 273, 1.8);
    const double exact =
        latent * diffusivity * 0.018015 / (8.314462618 * kelvin) * atmosphere / (atmosphere - pressure) * slope;
    findings.push_back(finding("with another equation for the vapour" + at, exact, computed, 5e-3));
  }
  return findings;
}

// A closed slab, heated evenly through its surface and held at its bottom, long enough to be steady. All values but the
// first are of the outermost cells' centres.
struct HeatPipe {
  double water_kept = 0;  // over what there was [-]
  double top = 0, bottom = 0, top_water = 0, bottom_water = 0, between = 0;
};

constexpr double flux = 22000;  // [W/m2]

HeatPipe steady(const Tissue& tissue, double lasts, int steps, bool water_held) {
  Case c = plain_case(tissue, radius, depth, 1);
  c.physics.moisture = c.physics.vapour = true;
  c.specimen.start = cold;
  c.specimen.bottom_heat = FarHeat::held;
  Bench bench(c, Grid(equal_faces(radius, 3), equal_faces(depth, 40)));
  const Grid& grid = bench.grid();
  State state = bench.start(false);
  const auto fill = [](State& now, double) {
    std::fill(now.fields.water.begin(), now.fields.water.end(), 0.5);
    std::fill(now.rates.water.begin(), now.rates.water.end(), 0.0);
  };
  fill(state, 0);
  for (int i = 0; i < grid.columns(); ++i) state.heat_source[grid.index(i, 0)] = flux * grid.axial_area(i);
  const double before = bench.stepper().stored(state).water;
  if (water_held) {
    bench.march(state, lasts, steps, fill);
  } else {
    bench.march(state, lasts, steps);
  }
  const std::size_t last = grid.index(0, grid.rows() - 1);
  return {bench.stepper().stored(state).water / before,
          state.fields.temperature[0],
          state.fields.temperature[last],
          state.fields.water[0],
          state.fields.water[last],
          grid.z().back() - grid.z()[0]};
}

Tissue piped_tissue(double moisture, double gas, double tortuosity) {
  Tissue tissue = constant_tissue(0.5, 0.5, 3.78e6);
  tissue.water_fraction = 0.75;
  tissue.moisture = moisture;
  tissue.gas_fraction = gas;
  tissue.tortuosity = tortuosity;
  return tissue;
}

double integral_of_diffusion(const HeatPipe& pipe) {
  constexpr int parts = 20000;
  const double step = (pipe.top - pipe.bottom) / parts;
  double sum = 0;
  for (int k = 0; k < parts; ++k) sum += vapour_diffusion(pipe.bottom + step * (k + 0.5)) * step;
  return sum;
}

// The water is set back before every step: the gas space stays even but for what a step moves, so they are short. Heat
// alone becomes steady.
std::vector<Finding> even_share(Effort) {
  const HeatPipe pipe = steady(piped_tissue(0, 0.1, 0.5), 500, 8000, true);
  const double carried = 0.5 * (0.1 + 0.75 * 0.5) * latent * integral_of_diffusion(pipe);
  return {
      finding("flux times length, against the integral of k + k_v over T [W/m]",
              0.5 * (pipe.top - pipe.bottom) + carried, flux * pipe.between, 1e-3),
      finding("of it by vapour: expected above a third (1 when so)", 1, carried > flux * pipe.between / 3 ? 1 : 0, 0)};
}

// Liquid water flows back as fast as vapour goes. Much gas space and mobile water: next to an even gas share. Less:
// where water gathers the space is filled, ds/(phi_0 + 0.75 (1 - s)) = tau/(W0 D) k_vg/L dT.
std::vector<Finding> heat_pipe(Effort) {
  constexpr double mobile = 5e-6, less = 1e-6, most_gas = 0.8, some_gas = 0.1, narrow = 0.22, half = 0.5, w0 = 750;
  const HeatPipe even = steady(piped_tissue(mobile, most_gas, narrow), 400, 4000, false);
  const HeatPipe filled = steady(piped_tissue(less, some_gas, half), 500, 2000, false);
  const auto gas = [](double s) { return some_gas + 0.75 * (1 - s); };
  return {
      finding("gas space next to even: W0 D times the difference of the water [kg/(m s)]",
              narrow * (most_gas + 0.75 * 0.5) * integral_of_diffusion(even),
              w0 * mobile * (even.bottom_water - even.top_water), 1e-3),
      finding("flux times length, of k and of the water's way back [W/m]", flux * even.between,
              0.5 * (even.top - even.bottom) + latent * w0 * mobile * (even.bottom_water - even.top_water), 1e-3),
      finding("space filled: ln of the gas shares' ratio", 0.75 * half * integral_of_diffusion(filled) / (w0 * less),
              std::log(gas(filled.top_water) / gas(filled.bottom_water)), 1e-3),
      finding("water conserved", 1, filled.water_kept, 1e-9)};
}

// Steps far longer than the error control would take, through cells that fill up, run dry and boil: nothing is
// predicted well, and balances and limits hold all the same.
std::vector<Finding> long_steps(Effort) {
  std::vector<Finding> findings;
  for (const bool bound : {false, true}) {
    Case c = plain_case(piped_tissue(0, 0.02, 1), radius, depth, 1);
    c.physics.boil_off = c.physics.vapour = true;
    c.physics.bound_water = bound;
    c.specimen.start = cold;
    Bench bench(c, Grid(equal_faces(radius, 3), equal_faces(depth, 120)));
    const Grid& grid = bench.grid();
    State state = bench.start(false), next = state;
    double in = 0, over = 0;
    for (int i = 0; i < grid.columns(); ++i) {
      for (int j = 0; j < 20; ++j) {
        const std::size_t cell = grid.index(i, j);
        state.heat_source[cell] = 3e8 * grid.volume(i, j);
        in += state.heat_source[cell];
      }
    }
    const Stored before = bench.stepper().stored(state);
    Ledger ledger;
    constexpr double step = 0.5;
    constexpr int steps = 16;
    for (int k = 0; k < steps; ++k) {
      const StepReport report = bench.stepper().step(state, static_cast<Ticks>(step * ticks_per_second), next);
      if (!report.converged()) throw NumericalFailure("heat did not converge");
      ledger += report.ledger;
      std::swap(state, next);
      for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
        const double most = most_water(bench.stepper().domain(), cell, state.fields.temperature[cell]);
        over = std::max({over, state.fields.water[cell] - most, -state.fields.water[cell]});
      }
    }
    const Stored after = bench.stepper().stored(state);
    const std::string with = bound ? ", with bound water" : "";
    in *= step * steps;
    findings.push_back(finding("energy: |in - stored - latent - with steam| / in" + with, 0,
                               in - (after.heat - before.heat) - ledger.latent - ledger.steam_out, 1e-6, in));
    findings.push_back(finding("water conserved" + with, before.water, after.water + ledger.water_boiled, 1e-9));
    findings.push_back(finding("most water above what a cell can hold, or below none" + with, 0, over, 1e-6, 1));
    if (bound) continue;  // there what is too much boils instead
    findings.push_back(finding("vapour refused meanwhile (1 when so)", 1, ledger.vapour_refused > 0 ? 1 : 0, 0));
  }
  return findings;
}

}  // namespace

std::vector<VerificationCheck> vapour_checks() {
  return {{"V1", "Heat that vapour carries in open pores",
           "the law again with W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783 (from memory) for the "
           "vapour; rounded values of the project's page of physics",
           conductivities},
          {"V2", "Steady heat through a slab with an even gas space", "Kirchhoff's transform", even_share},
          {"V3", "A closed slab as a heat pipe", "balance of water, in closed form (own)", heat_pipe},
          {"V4", "Vapour over long steps into cells that fill up", "conservation", long_steps}};
}

}  // namespace dryfront
