// A source that holds a temperature at a probe.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double heat = 1050.0 * 3600;  // [J/(m3 K)]
constexpr double conduction = 0.5;      // [W/(m K)]
constexpr double radius = 0.003;        // [m]
constexpr double start = 37, hold = 60, rise = hold - start;

double face() { return std::numbers::pi * radius * radius; }

// A column under a disc that covers it, heated evenly, with a source that may give `times` what holds the temperature.
Case held_column(double depth, double z, double steady_power, double times, double reset_time) {
  Case c = plain_case(constant_tissue(0.5, conduction, heat), radius, depth, 1);
  c.probes = {{"watched", 0, z}};
  Source& source = c.modes[0].source;
  source.kind = SourceKind::temperature;
  source.probe = "watched";
  source.hold = hold;
  source.reset_time = reset_time;
  source.setting = times * steady_power;
  return c;
}

// Column that loses heat to blood alone: its temperature is the same everywhere.
constexpr double loss = 40000;           // [W/(m3 K)]
constexpr double slow = heat / loss;     // its time constant [s]
constexpr double perfused_depth = 0.01;  // [m]

Case perfused_column(double times, double reset_time) {
  const double steady_power = loss * rise * face() * perfused_depth;
  Case c = held_column(perfused_depth, 0.005, steady_power, times, reset_time);
  Tissue& tissue = c.specimen.layers[0].tissue;
  tissue.perfusion = loss / tissue.blood_heat;
  tissue.blood = start;
  c.physics.perfusion = true;
  return c;
}

struct Held {
  double temperature = 0;  // at the probe at the end [C]
  double greatest = 0;     // of the probe [C]
  double power = 0;        // at the end [W]
};

Held held(const Case& c, int rows, double until, int steps) {
  Bench bench(c, Grid(equal_faces(radius, 2), equal_faces(c.specimen.depth, rows)));
  State state = bench.start(true);
  Held result;
  const auto look = [&] {
    result.temperature = at_point(bench.grid(), state.fields.temperature, 0, c.probes[0].z);
    result.greatest = std::max(result.greatest, result.temperature);
  };
  bench.march(state, until, steps, [&](State&, double) { look(); });
  look();
  result.power = state.electric.power;
  return result;
}

// The zero of the controller on the pole of the column.
std::vector<Finding> matched_reset(Effort) {
  constexpr double times = 2.5, until = 60;
  const Case c = perfused_column(times, slow);
  const double exact = hold - rise * std::exp(-times * until / slow);
  std::vector<double> errors;
  double computed = 0;
  for (int level = 0; level < 4; ++level) {
    computed = held(c, 4, until, 30 << level).temperature;
    errors.push_back(std::abs(computed - exact));
  }
  // T never passes `hold` on the exact way: what does is an error of the steps.
  const Held settled = held(c, 4, 10 * slow, 800);
  return {
      with_order(finding("temperature on the way [C]", exact, computed, 1e-4, rise), observed_order(errors), 1.8, 2.2),
      finding("greatest temperature [C], of the rise", hold, settled.greatest, 1e-6, rise),
      finding("steady power [W], against the loss", loss * rise * face() * perfused_depth, settled.power, 1e-6)};
}

// A controller ten times too fast: all the power until what is missing over the reset time is the rate of the rise,
// then e'' + (1 + K) e' + (K/rho) e = 0 in units of the rise and of the column's time constant.
std::vector<Finding> hasty_reset(Effort) {
  constexpr double K = 2, rho = 0.1;
  constexpr double turn = (1 - rho * K) / (1 - rho);  // the rise at which it leaves the bound
  const double decay = 0.5 * (1 + K), turns = std::sqrt(K / rho - decay * decay);
  const double A = 1 - turn, B = (decay * A - (K - turn)) / turns;
  const double phase = std::numbers::pi + std::atan((turns * B - decay * A) / (turns * A + decay * B));
  const double least = std::exp(-decay * phase / turns) * (A * std::cos(phase) + B * std::sin(phase));
  const double exact = hold - rise * least;
  const Case c = perfused_column(K, rho * slow);
  const double computed = held(c, 4, 1.5 * slow, 1200).greatest;
  return {finding("greatest temperature [C], of the rise", exact, computed, 1e-4, rise)};
}

// Bottom held at the temperature of the start: T - T0 = q (H^2 - z^2)/(2 k) in the end.
std::vector<Finding> held_bottom(Effort) {
  constexpr double depth = 0.005, z = 0.002;
  constexpr double overshoot = 1e-3;  // of the rise, stated
  const double steady_power = 2 * conduction * rise * face() * depth / (depth * depth - z * z);
  const double slowest = heat * depth * depth / conduction / (0.25 * std::numbers::pi * std::numbers::pi);
  std::vector<double> errors;
  Held settled;
  for (int level = 0; level < 3; ++level) {
    Case c = held_column(depth, z, steady_power, 3, slowest);
    c.specimen.bottom_heat = FarHeat::held;
    settled = held(c, 10 << level, 15 * slowest, 600);
    errors.push_back(std::abs(settled.power / steady_power - 1));
  }
  return {with_order(finding("steady power [W], against the conducted", steady_power, settled.power, 1e-3),
                     observed_order(errors), 1.8, 2.2),
          finding("temperature held [C], of the rise", hold, settled.temperature, 1e-5, rise),
          finding("greatest temperature [C], of the rise", hold, settled.greatest, overshoot, rise)};
}

}  // namespace

std::vector<VerificationCheck> hold_checks() {
  return {
      {"P1", "Holding a temperature, reset time of the column", "elementary: the zero cancels the pole", matched_reset},
      {"P2", "Holding a temperature, reset ten times too fast", "own derivation: saturated, then a damped swing",
       hasty_reset},
      {"P3", "Holding a temperature over a held bottom", "elementary: parabola of even heating", held_bottom}};
}

}  // namespace dryfront
