// What the checks are set up with: plain tissues, plain cases, families of grids, marches with equal steps.
#pragma once

#include <functional>
#include <vector>

#include "simulation/run.hpp"
#include "simulation/step.hpp"

namespace dryfront {

// Faces at equal distances from 0 to `end` [m].
std::vector<double> equal_faces(double end, int cells);
// Equal cells up to `equal_to`, then cells that grow with the distance to `end`. Halving `size` and growth - 1 halves
// every cell.   [m]
std::vector<double> growing_faces(double size, double equal_to, double growth, double end);

// Member `level` of a family of gradings: every member halves the cells of the one before and quarters the finest, so
// that the error of the singular edge, proportional to the edge's cell, falls by four as the rest does.
Grading graded_to_edge(double fine, double growth, double coarse, int level);

// A tissue of constants: no rise with temperature, no difference between wet and dry, no perfusion.
Tissue constant_tissue(double conductivity, double conduction, double volumetric_heat);

// An insulated cylinder of one tissue under a disc that covers it, bottom grounded, every switch of the physics off,
// a perfect insulated contact, one mode of a fixed rms voltage. Checks change what they are about.
Case plain_case(const Tissue& tissue, double radius, double depth, double rms);

// A stepper with the case and the grid it lives on. Not to be copied: the stepper keeps references.
class Bench {
 public:
  Bench(Case c, Grid grid);
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  // The state at the start; throws NumericalFailure when the charge does not converge.
  State start(bool current_on);
  // Equal steps from state.time to `until` [s]. `before` may change the state ahead of every step (heat sources).
  // Throws NumericalFailure.
  void march(State& state, double until, int steps, const std::function<void(State&, double dt)>& before = {});

  const Case& of() const { return case_; }
  const Grid& grid() const { return grid_; }
  ModeStepper& stepper() { return stepper_; }

 private:
  Case case_;
  Grid grid_;
  ModeStepper stepper_;
  State next_;
};

// A field at (r, z), as probes read it.
double at_point(const Grid& grid, const std::vector<double>& field, double r, double z);

}  // namespace dryfront
