// Rates of the kernels against the memory's bandwidth, and how the work of a solve grows with the cells. One thread;
// writes Markdown. Times are CPU seconds, the best of several runs; of whole steps the mean of ten in a row.
//
//     cmake --build --preset release --target benchmark_kernels && build/release/tests/benchmark_kernels > kernels.md
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <vector>

#include "numerics/elliptic_solver.hpp"
#include "physics/damage.hpp"
#include "physics/electric.hpp"
#include "physics/heat.hpp"
#include "simulation/run.hpp"
#include "simulation/step.hpp"

using namespace dryfront;

namespace {

double cpu_seconds() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

// CPU seconds of one call, the best of five batches that take a few hundredths of a second each.
template <typename Work>
double best_of(Work work) {
  double best = 1e300;
  int repeats = 1;
  for (int batch = 0; batch < 6; ++batch) {
    const double began = cpu_seconds();
    for (int k = 0; k < repeats; ++k) work();
    const double each = (cpu_seconds() - began) / repeats;
    if (batch > 0) best = std::min(best, each);
    repeats = std::max(1, static_cast<int>(0.03 / std::max(each, 1e-9)));
  }
  return best;
}

// a = b + s c, 24 bytes an element   [B/s]
double triad_bandwidth(std::size_t elements) {
  std::vector<double> a(elements, 0.0), b(elements, 1.0), c(elements, 2.0);
  const double each = best_of([&] {
    for (std::size_t k = 0; k < elements; ++k) a[k] = b[k] + 0.5 * c[k];
    b[0] = a[elements - 1];
  });
  return 24.0 * static_cast<double>(elements) / each;
}

// The main case's geometry with every cell divided by `share`.
Case scaled_case(double share) {
  Case c;
  Tissue tissue;
  tissue.name = "bench";
  tissue.conductivity = 0.35;
  c.specimen.layers = {{tissue, 0}};
  c.electrode.contact_fraction = 0.4;
  c.grading = {5e-5 / share, 1 + 0.08 / share, 1e-3 / share};
  c.damage = {{"pair", 7.39e39, 2.577e5, 43, ""}};
  c.effects = {{"coagulation", EffectKind::damage, 0, 1}};
  Mode mode;
  mode.name = "continuous";
  mode.activation = 0.05;
  mode.source.setting = 60;
  mode.source.peak_limit = 500;
  c.modes = {mode};
  return c;
}

void kernels(double share) {
  const Case c = scaled_case(share);
  const Grid grid = case_grid(c);
  const std::size_t cells = grid.cells();
  const double n = static_cast<double>(cells);
  std::vector<double> sigma(cells, 0.35), x(cells, 0.0), y(cells, 0.0);
  FluxOperator op(grid);
  set_conductances(grid, sigma, op);
  for (std::size_t k = 0; k < cells; ++k) op.shunt[k] = 1e-6 * static_cast<double>(k % 7 + 1);
  Multigrid multigrid(grid.columns(), grid.rows());
  multigrid.build(op);
  for (std::size_t k = 0; k < cells; ++k) y[k] = std::sin(static_cast<double>(k));
  const double cycle = best_of([&] { multigrid.cycle(y, x); });
  const double build = best_of([&] { multigrid.build(op); });
  const double flux = best_of([&] { apply(op, y, x); });
  const DamagePairRates pair = damage_rates(7.39e39, 2.577e5, 43);
  std::vector<double> cool(cells, 60.0), warm(cells, 61.0), omega(cells, 0.0);
  const double damage = best_of([&] { accumulate_damage(pair, cool, warm, 0.1, omega); });

  ModeStepper stepper(c, grid, c.modes[0]);
  State now = stepper.initial_state();
  stepper.switch_current(now, true);
  State next = now;
  for (int k = 0; k < 30; ++k) {
    stepper.step(now, 20'000'000'000, next);
    std::swap(now, next);
  }
  int solves = 0;
  int iterations = 0;
  int heat_iterations = 0;
  constexpr int marched = 10;
  const double began = cpu_seconds();
  for (int k = 0; k < marched; ++k) {
    heat_iterations += stepper.step(now, 20'000'000'000, next).heat_iterations;
    solves += next.electric.solves;
    iterations += next.electric.iterations;
    std::swap(now, next);
  }
  const double step = (cpu_seconds() - began) / marched;
  // Bytes that have to move at least: a cycle reads 8 matrix fields and reads or writes 6 vectors on the finest level,
  // the coarser levels have twice the entries on half the columns each time; the flux operator 3 fields, 2 vectors.
  const double bandwidth = triad_bandwidth(std::max<std::size_t>(cells, 1000));
  const double cycle_bytes = 8.0 * n * (14 + 22);
  const double flux_bytes = 8.0 * n * 5;
  const auto each = [](int count) { return static_cast<double>(count) / marched; };
  std::printf("| %zu | %.1f | %.1f | %.1f | %.1f | %.2f | %.1f | %.1f | %.0f | %.1f | %.1f | %.1f | %.1f |\n", cells,
              bandwidth * 1e-9, 1e9 * cycle / n, cycle * bandwidth / cycle_bytes, 1e9 * build / n, 1e9 * flux / n,
              flux * bandwidth / flux_bytes, 1e9 * damage / n, 1e9 * step / n, 1e3 * step, each(solves),
              each(iterations), each(heat_iterations));
  std::fflush(stdout);
}

}  // namespace

int main() {
  std::printf(
      "| cells | triad GB/s | cycle ns/cell | over its limit | its set-up ns/cell | flux operator ns/cell | over its "
      "limit "
      "| damage ns/cell | whole step ns/cell | whole step ms | electric solves a step | their iterations | heat's "
      "iterations |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
  for (const double share : {1.0, 2.0, 4.0, 8.0, 13.0}) kernels(share);
  return 0;
}
