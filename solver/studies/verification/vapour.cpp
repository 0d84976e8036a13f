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
    const double exact = latent * diffusivity * 0.018015 / (8.314462618 * kelvin) * atmosphere /
                         (atmosphere - pressure) * slope;
    findings.push_back(finding("with another equation for the vapour" + at, exact, computed, 5e-3));
  }
  return findings;
}

// A closed slab, heated evenly through its surface and held at its bottom, long enough to be steady.
struct HeatPipe {
  double water_moved = 0;  // kept by the water that is carried, over what it was [-]
  double top = 0, bottom = 0, top_water = 0, bottom_water = 0, between = 0;  // of the outermost cells' centres
};

HeatPipe steady(const Tissue& tissue, double flux, int cells) {
  Case c = plain_case(tissue, radius, depth, 1);
  c.physics.moisture = c.physics.vapour = true;
  c.specimen.start = cold;
  c.specimen.bottom_heat = FarHeat::held;
  Bench bench(c, Grid(equal_faces(radius, 3), equal_faces(depth, cells)));
  const Grid& grid = bench.grid();
  State state = bench.start(false);
  std::fill(state.fields.water.begin(), state.fields.water.end(), 0.5);
  for (int i = 0; i < grid.columns(); ++i) state.heat_source[grid.index(i, 0)] = flux * grid.axial_area(i);
  const double before = bench.stepper().stored(state).water;
  bench.march(state, 1000, 2000);
  const std::size_t last = grid.index(0, grid.rows() - 1);
  return {bench.stepper().stored(state).water / before, state.fields.temperature[0], state.fields.temperature[last],
          state.fields.water[0],                        state.fields.water[last],    grid.z().back() - grid.z()[0]};
}

Tissue piped_tissue(double moisture) {
  Tissue tissue = constant_tissue(0.5, 0.5, 3.78e6);
  tissue.water_fraction = 0.75;
  tissue.moisture = moisture;
  tissue.gas_fraction = 0.1;
  tissue.tortuosity = 0.5;
  return tissue;
}

double integral_of_diffusion(double from, double to) {
  constexpr int parts = 20000;
  double sum = 0;
  for (int k = 0; k < parts; ++k) sum += vapour_diffusion(from + (to - from) * (k + 0.5) / parts) * (to - from) / parts;
  return sum;
}

// Water so mobile that the gas share stays even.
std::vector<Finding> even_share(Effort) {
  const Tissue tissue = piped_tissue(1e-4);
  const HeatPipe pipe = steady(tissue, 22000, 30);
  const double share = 0.5 * (0.1 + 0.75 * 0.5);
  const double carried = share * integral_of_diffusion(pipe.bottom, pipe.top);
  return {finding("flux times length, against the integral of k + k_v over T [W/m]",
                  tissue.conduction * (pipe.top - pipe.bottom) + latent * carried, 22000 * pipe.between, 1e-3),
          finding("W0 D times the difference of the water [kg/(m s)]", carried,
                  750 * 1e-4 * (pipe.bottom_water - pipe.top_water), 1e-3),
          finding("water conserved", 1, pipe.water_moved, 1e-9),
          finding("surface above 85 C, where vapour carries most (1 when so)", 1, pipe.top > 85 ? 1 : 0, 0)};
}

// Water less mobile: where it gathers the gas space is filled. d s/(phi_0 + 0.75 (1 - s)) = tau/(W0 D) k_vg/L dT.
std::vector<Finding> filling_share(Effort) {
  const double moisture = 2e-7;
  const HeatPipe pipe = steady(piped_tissue(moisture), 22000, 60);
  const auto gas = [](double s) { return 0.1 + 0.75 * (1 - s); };
  return {finding("ln of the gas spaces' ratio", 0.75 * 0.5 * integral_of_diffusion(pipe.bottom, pipe.top) / (750 * moisture),
                  std::log(gas(pipe.top_water) / gas(pipe.bottom_water)), 1e-3),
          finding("water conserved", 1, pipe.water_moved, 1e-9)};
}

}  // namespace

std::vector<VerificationCheck> vapour_checks() {
  return {{"V1", "Heat that vapour carries in open pores",
           "the law again with W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783 (from memory) for the "
           "vapour; rounded values of the project's page of physics",
           conductivities},
          {"V2", "A closed slab as a heat pipe, gas space even", "Kirchhoff's transform; balance of water (own)",
           even_share},
          {"V3", "The same where water fills the gas space", "balance of water, in closed form (own)", filling_share}};
}

}  // namespace dryfront
