// What a run reports: depths of effect out of fields, and the sums of a run.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "simulation/depth.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

// Omega = exp(8 - (r/a)^2 - (z/b)^2) passes 1 on a half-ellipsoid of semi-axes a sqrt(8), b sqrt(8). No order is asked:
// the error depends on where between two centres the surface passes.
std::vector<Finding> ellipsoid(Effort) {
  constexpr double a = 0.002, b = 0.001, exponent = 8;
  const double reach = std::sqrt(exponent);
  const Grid grid(equal_faces(0.01, 200), equal_faces(0.01, 200));
  const auto columns = static_cast<std::size_t>(grid.columns());
  std::vector<std::vector<double>> omega(1);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const double x = grid.r()[c % columns] / a;
    const double y = grid.z()[c / columns] / b;
    omega[0].push_back(std::exp(exponent - x * x - y * y));
  }
  std::vector<double> excess(grid.cells()), depths(columns);
  EffectFields fields;
  fields.omega = omega;
  excess_of({"damage", EffectKind::damage, 0, 1}, fields, excess);
  depth_per_column(grid, excess, depths);
  return {finding("depth [m]", b * reach, *std::max_element(depths.begin(), depths.end()), 1e-4),
          finding("half-width [m]", a * reach, surface_half_width(grid, excess), 1e-4),
          finding("volume [m3]", 2 * pi / 3 * a * a * b * reach * reach * reach, volume_inside(grid, excess), 1e-3)};
}

// Constant power in a slab heated evenly: everything a run reports is known.
std::vector<Finding> even_run(Effort) {
  constexpr double radius = 0.004, depth = 0.003, heat = 3.78e6, sigma = 0.5, power = 12, activation = 2;
  Case c = plain_case(constant_tissue(sigma, 0.5, heat), radius, depth, 1);
  c.modes[0].source.kind = SourceKind::constant_power;
  c.modes[0].source.setting = power;
  c.modes[0].activation = activation;
  c.modes[0].after = 1;
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, ""}};
  c.effects = {{"warm", EffectKind::temperature, 0, 70}};
  c.probes = {{"inside", 0.001, 0.001}};
  c.output.frames = 2;
  const ModeRecord record = run(c, Grid(equal_faces(radius, 4), equal_faces(depth, 6)), {}, 1)[0];
  const double area = pi * radius * radius;
  const double load = depth / (sigma * area);
  const double end = 37 + power * activation / (heat * area * depth);
  const auto activation_row = static_cast<std::size_t>(
      std::find(record.trace.time.begin(), record.trace.time.end(), activation) - record.trace.time.begin());
  return {finding("delivered energy [J]", power * activation, record.delivered, 1e-9),
          finding("energy in the surface over it", 0, record.surface / record.delivered, 1e-9, 1),
          finding("load at the end of the activation [ohm]", load, record.resistance_end, 1e-9),
          finding("rms voltage at the end of the activation [V]", std::sqrt(power * load),
                  record.trace.rms.at(activation_row), 1e-9),
          finding("greatest temperature [C]", end, record.peak_temperature, 1e-6),
          finding("probe at the end [C]", end, record.probes[0].temperature.back(), 1e-6),
          finding("volume above 70 C at the end [m3]", area * depth, record.effects[0].volume, 1e-9)};
}

}  // namespace

std::vector<VerificationCheck> record_checks() {
  return {{"Z1", "Depth, half-width and volume of an effect", "half-ellipsoid (elementary)", ellipsoid},
          {"Z2", "What a run reports of evenly heated tissue", "energy balance (elementary)", even_run}};
}

}  // namespace dryfront
