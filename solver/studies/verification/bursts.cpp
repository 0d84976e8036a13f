// Bursts of current followed one by one, against their average: the assumption under every waveform of this program.
//
// A gated current of duty 6 % at 20 kHz and mean power P is on for the share d of each period with P/d, and off for the
// rest. One run switches it so, with two steps in every burst and two in every half pause; the other sees the average.
// Compared are depths of effect beyond the reach of one period's diffusion, 2 sqrt(alpha/f). A small face makes the
// heating much faster than in practice, so that few bursts do. Without boiling the two agree to parts in a million.
// With boiling the difference has either sign and is greatest where boiling has just begun: 0.19 % of the depth in the
// worst case found, whose gate says so.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "simulation/depth.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

struct BurstProblem {
  double repeat;  // [Hz]
  double duty;    // [-]
  int bursts;     // how many
  int steps_on, steps_off;
  bool boil;  // hot enough to boil at the edge of the disc
};

Case burst_case(const BurstProblem& problem, double power) {
  Tissue tissue = constant_tissue(0.5, 0.5, 3.6e6);
  tissue.conductivity_per_C = 0.0182;
  tissue.conductivity_at = 37;
  tissue.dry_conduction = 0.2;
  tissue.dry_heat_ratio = 0.35;
  Case c = plain_case(tissue, 0.0012, 0.0012, 1);
  c.modes[0].source.kind = SourceKind::constant_power;
  c.modes[0].source.setting = power;
  c.specimen.side_voltage = c.specimen.bottom_voltage = FarVoltage::half_space;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::held;
  c.physics.conductivity_rises = true;
  c.physics.boil_off = problem.boil;
  c.electrode.radius = 0.0003;
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, ""}};
  return c;
}

Grid burst_grid(Effort effort) {
  const double edge[] = {0.0003};
  const double surface[] = {0.0};
  const Grading r{effort == Effort::quick ? 2e-5 : 1e-5, 1.25, 2e-4};
  const Grading z{effort == Effort::quick ? 3e-6 : 1.5e-6, effort == Effort::quick ? 1.3 : 1.18, 2e-4};
  return Grid(graded_faces(0, 0.0012, edge, edge, r), graded_faces(0, 0.0012, {}, surface, z));
}

struct Depths {
  double coagulation = 0, isotherm = 0, boiled = 0, hottest = 0;
};

Depths depths_of(const Grid& grid, const State& state) {
  Depths depths;
  std::vector<double> excess(grid.cells()), depth(static_cast<std::size_t>(grid.columns()));
  const EffectFields fields{state.fields.temperature, state.fields.water, state.fields.peak_temperature,
                            state.fields.cem43, state.fields.omega};
  excess_of({"coagulation", EffectKind::damage, 0, 1}, fields, excess);
  depth_per_column(grid, excess, depth);
  depths.coagulation = *std::max_element(depth.begin(), depth.end());
  excess_of({"isotherm", EffectKind::temperature, 0, 60}, fields, excess);
  depth_per_column(grid, excess, depth);
  depths.isotherm = depth[0];
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i)
      depths.boiled += (1 - state.fields.water[grid.index(i, j)]) * grid.volume(i, j);
  }
  depths.hottest = *std::max_element(state.fields.peak_temperature.begin(), state.fields.peak_temperature.end());
  return depths;
}

Depths followed(const BurstProblem& problem, double power, Effort effort) {
  Bench bench(burst_case(problem, power / problem.duty), burst_grid(effort));
  State state = bench.start(false);
  const auto go = [&](bool current_on, double until) {
    if (bench.stepper().switch_current(state, current_on).what != nullptr)
      throw NumericalFailure("charge did not converge");
    bench.march(state, until / problem.repeat, current_on ? problem.steps_on : problem.steps_off);
  };
  // The burst in the middle of its period: half a pause, the burst, half a pause.
  for (int n = 0; n < problem.bursts; ++n) {
    go(false, n + 0.5 * (1 - problem.duty));
    go(true, n + 0.5 * (1 + problem.duty));
    go(false, n + 1);
  }
  return depths_of(bench.grid(), state);
}

Depths averaged(const BurstProblem& problem, double power, Effort effort) {
  Bench bench(burst_case(problem, power), burst_grid(effort));
  State state = bench.start(true);
  bench.march(state, problem.bursts / problem.repeat, effort == Effort::quick ? 400 : 1600);
  return depths_of(bench.grid(), state);
}

std::vector<Finding> bursts(Effort effort) {
  struct Row {
    int bursts;
    double power;  // [W]
    bool boil;
    double allowed;
  };
  const std::vector<Row> rows =
      effort == Effort::quick
          ? std::vector<Row>{{1000, 0.8, false, 1e-3}, {2000, 0.65, true, 1e-3}}
          : std::vector<Row>{{2000, 0.55, false, 1e-3}, {8000, 0.55, true, 1e-3}, {8000, 0.45, true, 2.5e-3}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    const BurstProblem problem{2e4, 0.06, row.bursts, 2, 2, row.boil};
    const Depths one_by_one = followed(problem, row.power, effort);
    const Depths mean = averaged(problem, row.power, effort);
    const std::string of = fmt::format("{} bursts of {:g} W{}", row.bursts, row.power, row.boil ? ", boiling" : "");
    findings.push_back(
        finding("depth of coagulation, " + of + " [m]", one_by_one.coagulation, mean.coagulation, row.allowed));
    findings.push_back(
        finding("depth of 60 C on the axis, " + of + " [m]", one_by_one.isotherm, mean.isotherm, row.allowed));
    // What is compared has to lie below 20 um.
    findings.push_back(finding("both below 20 um (1 when so), " + of, 1,
                               std::min(one_by_one.coagulation, one_by_one.isotherm) > 2e-5 ? 1 : 0, 0));
    if (row.boil) {
      findings.push_back(finding("volume of water boiled off, " + of + " [m3]", one_by_one.boiled, mean.boiled, 1e-2));
    }
  }
  return findings;
}

}  // namespace

std::vector<VerificationCheck> burst_checks() {
  return {{"S1", "Bursts of duty 6 % at 20 kHz followed in time (exact) against their average (computed)",
           "the program at steps far below one burst (no exact solution)", bursts}};
}

}  // namespace dryfront
