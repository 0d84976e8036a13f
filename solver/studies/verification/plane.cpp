// Symmetry about a plane: strip and plate, conduction of heat, and a strip against the ring that it is far from the
// axis. Charge and heat together stand with the manufactured solution (M2), the ledgers with those about an axis (L6).
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "studies/verification/electric_setup.hpp"
#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

constexpr double everywhere = std::numeric_limits<double>::infinity();
constexpr double a = 0.001;      // half width of the strip [m]
constexpr double slab = 0.003;   // depth [m]
constexpr double length = 0.02;  // along the plane [m]
constexpr double sigma = 0.5;    // [S/m]
constexpr double k = 0.5;        // [W/(m K)]
constexpr double heat = 3.78e6;  // [J/(m3 K)]
constexpr double start = 37;     // [C]
constexpr double diffusivity = k / heat;
constexpr auto uniform = [](double) { return sigma; };

double resistance_of(const Grid& grid, const Electrode& electrode) {
  return conduct(grid, contact_geometry(grid, electrode),
                 far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::grounded, 0, everywhere), uniform)
      .result.resistance;
}

// Resistance between two electrodes that a conformal map takes to -1 < t < 1 and |t| > 1/modulus of the upper half
// plane, the rest insulated: K(k')/(2 K(k)) over sigma times the length.   [ohm]
double resistance_of_map(double modulus) {
  return std::comp_ellint_1(std::sqrt(1 - modulus * modulus)) / (2 * std::comp_ellint_1(modulus)) / (sigma * length);
}

Finding family_finding(const std::string& quantity, int members, double exact, double allowed, double least,
                       double most, const std::function<double(int)>& resistance) {
  std::vector<double> errors;
  double finest = 0;
  for (int level = 0; level < members; ++level) {
    finest = resistance(level);
    errors.push_back(std::abs(finest / exact - 1));
  }
  return with_order(finding(quantity, exact, finest, allowed), observed_order(errors), least, most);
}

Electrode strip_of(double half_width) {
  Electrode strip;
  strip.shape = ElectrodeShape::disc;
  strip.radius = half_width;
  return strip;
}

Grid strip_grid(double half_width, double depth, int level) {
  const Grading grading = graded_to_edge(a / 20, 1.3, std::max(a / 4, half_width / 8), level);
  const double edge[] = {a}, surface[] = {0.0};
  return {graded_faces(0, half_width, edge, edge, grading), graded_faces(0, depth, {}, surface, grading), length};
}

std::vector<Finding> strip(Effort effort) {
  const int members = effort == Effort::quick ? 4 : 5;
  std::vector<Finding> findings;
  const double covered = 0.004;
  const Grid whole(equal_faces(covered, 3), equal_faces(slab, 10), length);
  findings.push_back(finding("face that covers a slab [ohm]", slab / (sigma * 2 * covered * length),
                             resistance_of(whole, strip_of(covered)), 1e-9));

  // 8 depths beside the strip the field has fallen by exp(-4 pi).
  const double wide = a + 8 * slab, on_slab = resistance_of_map(std::tanh(pi * a / (2 * slab)));
  findings.push_back(
      family_finding("on a wide slab, grids graded to the edge [ohm]", members, on_slab, 1e-3, 1.8, 2.2,
                     [&](int level) { return resistance_of(strip_grid(wide, slab, level), strip_of(a)); }));
  findings.push_back(
      family_finding("on a wide slab, equal cells of a/32 [ohm]", 3, on_slab, 5e-3, 1.8, 2.2, [&](int level) {
        const double size = a / std::ldexp(8.0, level);
        const double growth = 1 + std::ldexp(0.2, -level);
        const Grid grid(growing_faces(size, 2 * a, growth, wide), growing_faces(size, a, growth, slab), length);
        return resistance_of(grid, strip_of(a));
      }));
  // A square section: sn with the modulus 1/sqrt 2 takes it to the quarter plane, and sn(K/2) = (1 + k')^(-1/2).
  const double square = std::sqrt(0.5 / (1 + std::sqrt(0.5)));
  findings.push_back(
      family_finding("half the width of a square block [ohm]", members, resistance_of_map(square), 1e-3, 1.8, 2.2,
                     [&](int level) { return resistance_of(strip_grid(2 * a, 2 * a, level), strip_of(a)); }));
  return findings;
}

std::vector<Finding> plate(Effort effort) {
  Electrode plate;
  plate.shape = ElectrodeShape::rod;
  std::vector<Finding> findings;

  // Down to an insulated bottom, the side grounded: one dimension.
  plate.radius = a;
  plate.length = slab;
  const double wide = 0.004;
  const Grid across(equal_faces(wide, 8), equal_faces(slab, 3), length);
  const double beside =
      conduct(across, contact_geometry(across, plate),
              far_voltage(across, FarVoltageKind::grounded, FarVoltageKind::insulated, 0, everywhere), uniform)
          .result.resistance;
  findings.push_back(
      finding("through the whole depth, sides grounded [ohm]", (wide - a) / (sigma * 2 * slab * length), beside, 1e-9));

  plate.radius = 0.0005;
  plate.length = 0.001;
  constexpr double exact = 46.2031557091284443;  // 0.5 mm by 1 mm in a slab of 3 mm, see the source
  // The singularity of a corner of 270 degrees makes it 4/3 in the end.
  findings.push_back(family_finding("0.5 mm by 1 mm, equal cells [ohm]", effort == Effort::quick ? 3 : 4, exact, 5e-3,
                                    1.2, 1.9, [&](int level) {
                                      const double size = std::ldexp(plate.radius / 4, -level);
                                      const double growth = 1 + std::ldexp(0.08, -level);
                                      const Grid grid(growing_faces(size, 2 * plate.radius, growth, 8 * slab),
                                                      growing_faces(size, 1.5 * plate.length, growth, slab), length);
                                      return resistance_of(grid, plate);
                                    }));
  return findings;
}

// A field of temperature at the start and what becomes of it in an insulated block, cells and steps halved together.
struct Spreading {
  double half_width, depth, until;
  int columns, rows, steps;  // of the coarsest member
  std::function<double(double x, double z, double t)> rise;
};

Finding spreading_finding(const std::string& quantity, const Spreading& of, int members, double allowed) {
  std::vector<double> errors;
  const double peak = of.rise(0, 0, of.until);
  for (int level = 0; level < members; ++level) {
    Bench bench(plain_case(constant_tissue(sigma, k, heat), of.half_width, of.depth, 1),
                Grid(equal_faces(of.half_width, of.columns << level),
                     equal_faces(of.depth, of.rows > 1 ? of.rows << level : 1), length));
    const Grid& grid = bench.grid();
    const auto columns = static_cast<std::size_t>(grid.columns());
    State state = bench.start(false);
    const auto exact = [&](std::size_t c, double t) {
      return of.rise(grid.r()[c % columns], grid.z()[c / columns], t);
    };
    for (std::size_t c = 0; c < grid.cells(); ++c) state.fields.temperature[c] = start + exact(c, 0);
    bench.march(state, of.until, of.steps << level);
    double worst = 0;
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      worst = std::max(worst, std::abs(state.fields.temperature[c] - start - exact(c, of.until)));
    }
    errors.push_back(worst / peak);
  }
  return with_order(finding(quantity, 0, errors.back(), allowed, 1), observed_order(errors), 1.8, 2.2);
}

// Uniform flux q through the strip from t = 0: rise of the middle of the surface of a half-space.
Finding heated_strip(Effort effort) {
  constexpr double q = 20000, t = 10;
  const double exact = integral_of(
      [](double u) {  // u = sqrt(t)
        return 2 * q / (heat * std::sqrt(pi * diffusivity)) * std::erf(a / (2 * std::sqrt(diffusivity) * u));
      },
      1e-9, std::sqrt(t), 16);
  std::vector<double> errors;
  double rise = 0;
  for (int level = 0; level < (effort == Effort::quick ? 3 : 4); ++level) {
    const double edge[] = {a}, surface[] = {0.0};
    const Grading grading{std::ldexp(1e-4, -level), 1 + std::ldexp(0.15, -level), std::ldexp(2e-3, -level)};
    Bench bench(
        plain_case(constant_tissue(sigma, k, heat), 0.016, 0.016, 1),
        Grid(graded_faces(0, 0.016, edge, edge, grading), graded_faces(0, 0.016, {}, surface, grading), length));
    const Grid& grid = bench.grid();
    State state = bench.start(false);
    for (int i = 0; i < grid.columns() && grid.r()[static_cast<std::size_t>(i)] < a; ++i) {
      state.heat_source[grid.index(i, 0)] = q * grid.axial_area(i);
    }
    bench.march(state, t, 40 << level);
    // The surface lies half a cell above the first centre.
    rise = at_point(grid, state.fields.temperature, 0, 0) - start + q * 0.5 * grid.height(0) / k;
    errors.push_back(std::abs(rise - exact));
  }
  return with_order(finding("strip of uniform flux, middle of the surface after 10 s, rise [K]", exact, rise, 1e-3),
                    observed_order(errors), 1.7, 2.4);
}

std::vector<Finding> heat_about_plane(Effort effort) {
  const double wide = 0.004;
  const Spreading mode{wide, 0.001, 10, 8, 1, 10, [&](double x, double, double t) {
                         return 20 * std::cos(pi * x / wide) * std::exp(-diffusivity * pi * pi / (wide * wide) * t);
                       }};
  const Spreading gaussian{0.012, 0.012, 5, 24, 24, 12, [](double x, double z, double t) {
                             const double xx = 1e-6 + 2 * diffusivity * t, zz = 0.36e-6 + 2 * diffusivity * t;
                             return 40 * std::sqrt(1e-6 / xx * 0.36e-6 / zz) *
                                    std::exp(-x * x / (2 * xx) - z * z / (2 * zz));
                           }};
  return {spreading_finding("cosine across the plane after 10 s, greatest error over the peak", mode, 4, 2e-3),
          spreading_finding("Gaussian after 5 s, greatest error over the peak", gaussian,
                            effort == Effort::quick ? 3 : 4, 2e-3),
          heated_strip(effort)};
}

// Far from the axis a ring's face is a strip of the length of its middle circle. Bottom grounded, so that what lies
// 20 mm beside the face does not matter.
Case far_ring(double middle) {
  Tissue tissue = constant_tissue(0.35, 0.52, 3.8e6);
  tissue.conductivity_per_C = 0.0182;
  tissue.dry_conduction = 0.2;
  tissue.moisture = 1e-9;
  Case c = plain_case(tissue, middle + 0.02, 0.005, 1);
  c.specimen.bottom_heat = FarHeat::held;
  c.specimen.air_heat_transfer = 10;
  c.physics = Physics{};
  c.electrode.shape = ElectrodeShape::ring;
  c.electrode.radius = middle + a;
  c.electrode.inner_radius = middle - a;
  c.electrode.contact = ContactKind::spots;
  c.electrode.heat = ElectrodeHeat::held;
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, ""}};
  c.effects = {{"coagulation", EffectKind::damage, 0, 1.0}, {"desiccation", EffectKind::dry, 0, 0.5}};
  c.grading = {1e-4, 1.15, 1e-3};
  c.output.frames = 1;
  c.modes[0].activation = 3;
  c.modes[0].source.kind = SourceKind::constant_power;
  c.modes[0].source.setting = 3500 * 2 * pi * middle;
  c.modes[0].source.peak_limit = 500;
  return c;
}

std::vector<Finding> ring_against_strip(Effort) {
  constexpr double middle = 0.2;
  const Case ring = far_ring(middle);
  Case strip = ring;
  strip.specimen.symmetry = Symmetry::plane;
  strip.specimen.length = 2 * pi * middle;
  strip.specimen.radius = 0.02;
  strip.electrode = ring.electrode;
  strip.electrode.shape = ElectrodeShape::disc;
  strip.electrode.radius = a;
  strip.electrode.inner_radius = 0;
  const ModeRecord around = run(ring, case_grid(ring), {}, 1)[0], along = run(strip, case_grid(strip), {}, 1)[0];
  std::vector<Finding> findings{
      finding("load at the start [ohm]", around.resistance_start, along.resistance_start, 2e-3),
      finding("load at the end [ohm]", around.resistance_end, along.resistance_end, 1e-2),
      finding("energy delivered [J]", around.delivered, along.delivered, 2e-3)};
  for (std::size_t e = 0; e < ring.effects.size(); ++e) {
    findings.push_back(finding("depth of " + ring.effects[e].name + " [mm]", 1e3 * around.effects[e].depth,
                               1e3 * along.effects[e].depth, 1e-2));
    findings.push_back(finding("volume of " + ring.effects[e].name + " [mm3]", 1e9 * around.effects[e].volume,
                               1e9 * along.effects[e].volume, 1e-2));
  }
  findings.push_back(
      finding("water boiled off [g]", 1e3 * around.ledger.water_boiled, 1e3 * along.ledger.water_boiled, 1e-2));
  return findings;
}

}  // namespace

std::vector<VerificationCheck> plane_checks() {
  return {{"E7", "Strip about a plane: on a slab and in a block",
           "conformal maps tanh(pi z/(2 H)) and sn to the half plane, K(k')/(2 K(k)) (own derivation)", strip},
          {"E8", "Plate inserted edgewise about a plane",
           "Schwarz-Christoffel map of a slab with a plate in it, its two lengths solved for this check by an "
           "independent program",
           plate},
          {"H10", "Conduction about a plane: cosine, Gaussian, strip of uniform flux",
           "Carslaw and Jaeger (1959) secs. 3.3, 10.3, 10.5, from memory", heat_about_plane},
          {"C2", "Strip about a plane (computed) against a ring far from the axis (exact), whole runs",
           "a ring's curvature goes with its half width over its radius, here 1/200 (elementary)", ring_against_strip}};
}

}  // namespace dryfront
