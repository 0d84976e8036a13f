// Water drawn through the tissue.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "physics/pressed_water.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

std::vector<Finding> capillary_diffusion(Effort) {
  constexpr double depth = 0.001, diffusivity = 1e-8, t = 5, mean = 0.6, amplitude = 0.3;
  Tissue tissue = constant_tissue(0.5, 0.5, 3.78e6);
  tissue.moisture = diffusivity;
  tissue.dry_heat_ratio = 0.3;
  Case c = plain_case(tissue, 0.001, depth, 1);
  c.physics.moisture = c.physics.boil_off = true;
  const double exact = amplitude * std::exp(-diffusivity * pi * pi / (depth * depth) * t);
  std::vector<double> errors;
  double computed = 0, change = 0, conserved = 0;
  for (int level = 0; level < 3; ++level) {
    Bench bench(c, Grid(equal_faces(0.001, 3), equal_faces(depth, 400)));
    const Grid& grid = bench.grid();
    const auto columns = static_cast<std::size_t>(grid.columns());
    State state = bench.start(false);
    const auto shape = [&](std::size_t cell) { return std::cos(pi * grid.z()[cell / columns] / depth); };
    for (std::size_t cell = 0; cell < grid.cells(); ++cell) state.fields.water[cell] = mean + amplitude * shape(cell);
    const double before = bench.stepper().stored(state).water;
    bench.march(state, t, 5 << level);
    computed = (state.fields.water[0] - mean) / shape(0);
    errors.push_back(std::abs(computed - exact));
    conserved = bench.stepper().stored(state).water / before;
    change = 0;
    for (const double T : state.fields.temperature) change = std::max(change, std::abs(T - 37));
  }
  return {
      with_order(finding("amplitude of a cosine after 5 s", exact, computed, 1e-3), observed_order(errors), 1.8, 2.2),
      finding("water conserved", 1, conserved, 1e-9),
      finding("tissue at one temperature stays there while water moves, change [K]", 0, change, 1e-6, 1)};
}

// A half-space that shrinks from one moment on: (s - s_eq)/dC = erf(z/(2 sqrt(D t))), and per area
// W0 dC 2 sqrt(D t/pi) has left. The disc covers half of the surface: it leaves through both halves alike.
std::vector<Finding> pressed_out(Effort) {
  constexpr double radius = 0.001, depth = 0.002, t = 10, T = 90, z = 1e-4;
  constexpr int steps = 200;
  Tissue tissue = constant_tissue(0.5, 0.5, 3.78e6);
  tissue.dry_heat_ratio = 0.3;
  Case c = plain_case(tissue, radius, depth, 1);
  c.specimen.start = c.specimen.surroundings = T;
  c.electrode.radius = 0.5 * radius;
  c.physics.pressed_out_water = true;
  const double loss = 0.2 / tissue.water_fraction, diffusivity = c.physics.pressed_diffusivity;
  const double surface[] = {0.0};
  Bench bench(c, Grid(equal_faces(radius, 4), graded_faces(0, depth, {}, surface, {2e-6, 1.02, 2e-5})));
  State state = bench.start(false);
  const double before = bench.stepper().stored(state).water;
  for (int k = 1; k <= steps; ++k) {  // short steps at the start, where the flow is without bound
    bench.march(state, t * std::pow(static_cast<double>(k) / steps, 3), 1);
  }
  const double area = pi * radius * radius;
  const double left = before - bench.stepper().stored(state).water;
  double change = 0;
  for (const double temperature : state.fields.temperature) change = std::max(change, std::abs(temperature - T));
  return {finding("pressed out of a half-space within 10 s [kg]",
                  initial_water(tissue) * area * loss * 2 * std::sqrt(diffusivity * t / pi), left, 1e-3),
          finding("water 0.1 mm below the surface", 1 - loss * std::erfc(z / (2 * std::sqrt(diffusivity * t))),
                  at_point(bench.grid(), state.fields.water, 0.25 * radius, z), 1e-3),
          finding("tissue at one temperature stays there while water leaves, change [K]", 0, change, 1e-6, 1)};
}

// Constants of the law, by hand: q(60 C) from C = 0.745 - 0.345/(1 + 30 exp(-2)), q(90 C) from C = 0.402229.
std::vector<Finding> water_at_rest(Effort) {
  const auto over_solid = [](double content) { return content / (1 - content); };
  const double at_60 = over_solid(0.745 - 0.345 / (1 + 30 * std::exp(-2.0))) / over_solid(0.745);
  const double at_90 = over_solid(0.745 - 0.345 / (1 + 30 * std::exp(-9.5))) / over_solid(0.745);
  return {
      finding("mass lost at rest at 90 C, share", 0.2, 0.7 * (1 - equilibrium_water(90, 0.2, 0.7)), 1e-12),
      finding("the same at 60 C", 0.2 * (1 - at_60) / (1 - at_90), 0.7 * (1 - equilibrium_water(60, 0.2, 0.7)), 1e-12),
      finding("water at rest at 22 C", 1, equilibrium_water(22, 0.2, 0.7), 1e-3)};
}

}  // namespace

std::vector<VerificationCheck> moisture_checks() {
  return {{"Q1", "Capillary diffusion and the heat that moves with it",
           "eigenmode of the diffusion equation, J. Crank, The Mathematics of Diffusion (1975), from memory",
           capillary_diffusion},
          {"Q2", "Water pressed out of a half-space",
           "error function: J. Crank, The Mathematics of Diffusion (1975), from memory", pressed_out},
          {"Q3", "What heated tissue holds at rest",
           "water content as R. van der Sman, AIChE J. 53 (2007) 2986 (read in public code that cites it), scaled to "
           "20 % of the mass at 90 C, Haemmerich et al. 2006",
           water_at_rest}};
}

}  // namespace dryfront
