// Tissue: the material numbers and the laws that follow from them.
#pragma once

#include <string>

namespace dryfront {

// Up to where the model knows tissue: above, char and its gases are materials of their own (docs/model.md).   [C]
inline constexpr double hottest_known = 300;

// One tissue. SI units; temperatures in degrees Celsius throughout the program (Arrhenius rates convert).
// Each member is the key of the same name in a case file; the sources stand in cases/tissue/*.toml.
struct Tissue {
  std::string name;
  double conductivity = 0;           // sigma_ref at conductivity_at [S/m]
  double conductivity_at = 37;       // [C]
  double conductivity_per_C = 0.02;  // alpha, reversible rise with temperature [1/C]
  double coagulation_rise = 0;       // beta, irreversible rise of the conductivity on coagulation [-]
  double coagulation_frequency = 0;  // A of the pair by which it rises; 0: the first pair of the case [1/s]
  double coagulation_energy = 0;     // E of that pair [J/mol]
  double relative_permittivity = 0;  // at the carrier, used only to judge the conductor approximation [-]
  double density = 1000;             // [kg/m3]
  double specific_heat = 3500;       // specific heat, wet [J/(kg K)]
  double conduction = 0.5;           // thermal conductivity, wet [W/(m K)]
  double conduction_per_C = 0;       // its relative rise, referred to conductivity_at [1/C]
  double dry_conduction = 0.2;       // thermal conductivity, dry [W/(m K)]
  double dry_heat_ratio = 0.3;       // volumetric heat capacity dry / wet [-]
  double water_fraction = 0.7;       // initial water by mass [-]
  double boiling_point = 100;        // T_b [C]
  double latent = 2.257e6;           // L [J/kg]
  double saturation_exponent = 2;    // n [-]
  double residual_saturation = 0.0;  // s_c [-]
  double conductivity_floor = 1e-3;  // [-]
  double moisture = 1e-8;            // capillary diffusivity D [m2/s]
  double gas_fraction = 0.1;         // phi_0, gas space by volume at the start [-]
  double tortuosity = 0.5;           // tau, vapour's diffusion in it over that in air [-]
  double perfusion = 0;              // w_b [1/s]
  double blood_heat = 3.8e6;         // rho_b c_b [J/(m3 K)]
  double blood = 37;                 // T_a [C]
  double metabolic = 0;              // q_met [W/m3]
  std::string source;                // where the numbers come from
};

// sigma(T, s) = sigma_ref [1 + alpha (T - T_ref)] max(((s - s_c)/(1 - s_c))^n, floor)   [S/m]
// with T between 0 C and T_b. s is the water left over the initial water, in [0, 1]; at or below the residual s_c the
// floor holds. `rises` false leaves the temperature factor out. Frozen tissue counts as tissue at 0 C.
double conductivity(const Tissue& tissue, double temperature, double water, bool rises);

// Whether the conductivity rises by a damage pair of the tissue's own.
inline bool has_coagulation_pair(const Tissue& tissue) {
  return tissue.coagulation_rise != 0 && tissue.coagulation_frequency > 0;
}

// Volumetric heat capacity rho c (ratio + s (1 - ratio))   [J/(m3 K)]
double heat_capacity(const Tissue& tissue, double water);

// Thermal conductivity k_dry + s (k_wet [1 + kappa (T - T_ref)] - k_dry), T between 0 C and T_b   [W/(m K)]
double thermal_conductivity(const Tissue& tissue, double temperature, double water);

// Initial water per volume W0 = rho * water_fraction   [kg/m3]
double initial_water(const Tissue& tissue);

// omega eps / sigma at a frequency, sigma at T_ref and wet: how far the conductor approximation is from the truth   [-]
double displacement_ratio(const Tissue& tissue, double frequency_Hz);

}  // namespace dryfront
