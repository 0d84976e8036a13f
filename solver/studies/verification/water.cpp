// Water drawn through the tissue.
#include <algorithm>
#include <cmath>
#include <numbers>

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

}  // namespace

std::vector<VerificationCheck> moisture_checks() {
  return {{"Q1", "Capillary diffusion and the heat that moves with it",
           "eigenmode of the diffusion equation, J. Crank, The Mathematics of Diffusion (1975), from memory",
           capillary_diffusion}};
}

}  // namespace dryfront
