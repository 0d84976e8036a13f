// Material laws at hand-computed values.
#include "physics/tissue.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace dryfront;

namespace {

Tissue tissue() {
  Tissue t;
  t.conductivity = 0.2;
  t.conductivity_at = 37;
  t.conductivity_per_C = 0.02;
  t.density = 1060;
  t.specific_heat = 3600;
  t.conduction = 0.5;
  t.dry_conduction = 0.2;
  t.dry_heat_ratio = 0.3;
  t.water_fraction = 0.7;
  t.conductivity_floor = 1e-3;
  return t;
}

}  // namespace

TEST_CASE("electric conductivity rises to the boiling point and falls with the water left") {
  Tissue t = tissue();
  CHECK(conductivity(t, 37, 1, true) == Approx(0.2).epsilon(1e-14));
  CHECK(conductivity(t, 22, 1, true) == Approx(0.14).epsilon(1e-14));
  CHECK(conductivity(t, 87, 1, true) == Approx(0.4).epsilon(1e-14));
  CHECK(conductivity(t, 100, 1, true) == Approx(0.452).epsilon(1e-14));
  CHECK(conductivity(t, 300, 1, true) == conductivity(t, 100, 1, true));
  CHECK(conductivity(t, -30, 1, true) == conductivity(t, 0, 1, true));
  CHECK(conductivity(t, 0, 1, true) == Approx(0.2 * (1 - 0.02 * 37)).epsilon(1e-14));
  CHECK(conductivity(t, 87, 1, false) == Approx(0.2).epsilon(1e-14));
  // Archie's second law, exponent 2 (G. E. Archie, Trans. AIME 146 (1942) 54; second-hand).
  CHECK(conductivity(t, 37, 0.5, true) == Approx(0.05).epsilon(1e-14));
  CHECK(conductivity(t, 37, 0, true) == Approx(2e-4).epsilon(1e-14));
  t.saturation_exponent = 1.5;
  CHECK(conductivity(t, 37, 0.25, true) == Approx(0.025).epsilon(1e-14));
  t.residual_saturation = 0.1;
  CHECK(conductivity(t, 37, 1, true) == Approx(0.2).epsilon(1e-14));
  CHECK(conductivity(t, 37, 0.55, true) == Approx(0.2 * std::pow(0.5, 1.5)).epsilon(1e-14));
  CHECK(conductivity(t, 37, 0.1, true) == Approx(2e-4).epsilon(1e-14));
  CHECK(conductivity(t, 37, 0.05, true) == Approx(2e-4).epsilon(1e-14));  // below the residual water, not a NaN
}

TEST_CASE("heat capacity and thermal conductivity go from wet to dry") {
  Tissue t = tissue();
  CHECK(heat_capacity(t, 1) == Approx(3.816e6).epsilon(1e-14));
  CHECK(heat_capacity(t, 0) == Approx(0.3 * 3.816e6).epsilon(1e-14));
  CHECK(heat_capacity(t, 0.5) == Approx(0.65 * 3.816e6).epsilon(1e-14));
  CHECK(thermal_conductivity(t, 80, 1) == Approx(0.5).epsilon(1e-14));
  CHECK(thermal_conductivity(t, 80, 0) == Approx(0.2).epsilon(1e-14));
  CHECK(thermal_conductivity(t, 80, 0.5) == Approx(0.35).epsilon(1e-14));
  t.conduction_per_C = 0.002;
  CHECK(thermal_conductivity(t, 87, 1) == Approx(0.55).epsilon(1e-14));
  CHECK(thermal_conductivity(t, 87, 0) == Approx(0.2).epsilon(1e-14));
  CHECK(thermal_conductivity(t, 400, 1) == thermal_conductivity(t, 100, 1));
  CHECK(initial_water(t) == Approx(742).epsilon(1e-14));
}

TEST_CASE("displacement current against conduction current") {
  // omega eps_0 eps_r / sigma at 500 kHz with round numbers near those of liver.
  Tissue t = tissue();
  t.conductivity = 0.148;
  t.relative_permittivity = 2770;
  CHECK(displacement_ratio(t, 500e3) == Approx(0.52063).epsilon(1e-4));
  CHECK(displacement_ratio(t, 1e6) == Approx(2 * displacement_ratio(t, 500e3)).epsilon(1e-14));
}
