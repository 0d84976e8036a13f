// Perfused tissue (Pennes): steady profiles, point source, heated ball, uniform relaxation.
#include <algorithm>
#include <cmath>
#include <memory>

#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double k = 0.5;               // [W/(m K)]
constexpr double heat = 1050.0 * 3600;  // [J/(m3 K)]
constexpr double perfusion = 40000;     // W [W/(m3 K)]
constexpr double blood = 37;            // [C]

Case perfused_case(double radius, double depth, double metabolic) {
  Tissue tissue = constant_tissue(0.5, k, heat);
  tissue.perfusion = perfusion / tissue.blood_heat;
  tissue.blood = blood;
  tissue.metabolic = metabolic;
  Case c = plain_case(tissue, radius, depth, 1);
  c.physics.perfusion = true;
  return c;
}

Finding steady_finding(const std::string& quantity, double exact, double scale, const std::function<double(int)>& rise,
                       double least = 1.8) {
  std::vector<double> errors;
  double computed = 0;
  for (int level = 0; level < 3; ++level) {
    computed = rise(level);
    errors.push_back(std::abs(computed - exact));
  }
  return with_order(finding(quantity, exact, computed, 1e-3, scale), observed_order(errors), least, 2.2);
}

std::vector<Finding> steady_profiles(Effort) {
  constexpr double metabolic = 700, wall = 55, flux = 1000;
  const double delta = std::sqrt(k / perfusion);
  const double settled = blood + metabolic / perfusion;
  const auto steady = [&](double depth, bool wall_held, int level) {
    Case c = perfused_case(0.003, depth, metabolic);
    if (wall_held) {
      c.electrode.heat = ElectrodeHeat::held;
      c.electrode.heat_transfer = 0;  // an ideal contact
      c.specimen.start = wall;
    }
    const int rows = static_cast<int>(std::lround(depth / 0.0005)) << level;
    auto bench = std::make_unique<Bench>(c, Grid(equal_faces(0.003, 3), equal_faces(depth, rows)));
    State state = bench->start(false);
    std::fill(state.fields.temperature.begin(), state.fields.temperature.end(), blood);
    for (int i = 0; !wall_held && i < bench->grid().columns(); ++i) {
      state.heat_source[bench->grid().index(i, 0)] = flux * bench->grid().axial_area(i);
    }
    bench->march(state, 2e4, 40);
    return std::pair(std::move(bench), std::move(state));
  };
  // Read at a cell face that every member has, from the mean of its two neighbours.
  const auto at = [](const Bench& bench, const State& state, double z) {
    return at_point(bench.grid(), state.fields.temperature, 0, z);
  };
  const double z = 0.003;
  return {steady_finding("half-space, surface held at 55 C, at 3 mm [C]",
                         settled + (wall - settled) * std::exp(-z / delta), wall - settled,
                         [&](int level) {
                           const auto [bench, state] = steady(0.05, true, level);
                           return at(*bench, state, z);
                         }),
          steady_finding("half-space, 1000 W/m2 through the surface, at 3 mm [C]",
                         settled + flux * delta / k * std::exp(-z / delta), flux * delta / k,
                         [&](int level) {
                           const auto [bench, state] = steady(0.05, false, level);
                           return at(*bench, state, z);
                         }),
          steady_finding("slab of 10 mm, front held at 55 C, back insulated, at 3 mm [C]",
                         settled + (wall - settled) * std::cosh((0.01 - z) / delta) / std::cosh(0.01 / delta),
                         wall - settled, [&](int level) {
                           const auto [bench, state] = steady(0.01, true, level);
                           return at(*bench, state, z);
                         })};
}

std::vector<Finding> point_source(Effort effort) {
  constexpr double power = 0.05, depth = 0.04;
  const double finer = effort == Effort::quick ? 0.35 : 0.2;
  const double mark[] = {0.0};
  const Grading grading{4e-5 * finer, 1 + 0.07 * finer, 2e-3 * finer};
  const std::vector<double> faces = graded_faces(0, depth, {}, mark, grading);
  Bench bench(perfused_case(depth, depth, 0), Grid(faces, faces));
  State state = bench.start(false);
  state.heat_source[0] = power;
  const auto rise = [&](double r) {
    const Grid& grid = bench.grid();
    // Along the axis and along the surface the field is the same: the mean of both readings, on a sphere about the
    // source.
    return 0.5 * (at_point(grid, state.fields.temperature, r, 0) + at_point(grid, state.fields.temperature, 0, r)) -
           blood;
  };
  std::vector<Finding> findings;
  bench.march(state, 60, effort == Effort::quick ? 60 : 200);
  findings.push_back(finding("2 mm from a point source of 50 mW after 60 s, rise [K]",
                             perfused_point_source_after(power, k, perfusion, heat, 0.002, 60), rise(0.002), 1e-3));
  bench.march(state, 2e4, 40);
  findings.push_back(finding("2 mm from the source, steady [K]", perfused_point_source(power, k, perfusion, 0.002),
                             rise(0.002), 1e-3));
  findings.push_back(finding("5 mm from the source, steady [K]", perfused_point_source(power, k, perfusion, 0.005),
                             rise(0.005), 1e-3));
  return findings;
}

// Share of a cell's volume within a ball about the origin, by sampling its rings.
double share_in_ball(const Grid& grid, int i, int j, double a) {
  constexpr int samples = 16;
  const double r0 = grid.r_face()[static_cast<std::size_t>(i)];
  const double z0 = grid.z_face()[static_cast<std::size_t>(j)];
  double inside = 0, whole = 0;
  for (int m = 0; m < samples; ++m) {
    const double r = r0 + (m + 0.5) / samples * grid.width(i);
    whole += r;
    const double top = a * a - r * r;
    if (top <= 0) continue;
    inside += r * std::clamp((std::sqrt(top) - z0) / grid.height(j), 0.0, 1.0);
  }
  return inside / whole;
}

std::vector<Finding> heated_ball(Effort effort) {
  constexpr double a = 0.003, heating = 2e6, depth = 0.04;
  std::vector<Finding> findings;
  const double scale = perfused_ball(heating, a, k, perfusion, 0);
  std::vector<double> errors;
  double centre = 0, outside = 0;
  const int members = effort == Effort::quick ? 2 : 3;
  for (int level = 0; level < members; ++level) {
    const std::vector<double> faces =
        growing_faces(std::ldexp(2e-4, -level), 0.004, 1 + std::ldexp(0.2, -level), depth);
    Bench bench(perfused_case(depth, depth, 0), Grid(faces, faces));
    const Grid& grid = bench.grid();
    State state = bench.start(false);
    for (int j = 0; j < grid.rows(); ++j) {
      for (int i = 0; i < grid.columns(); ++i) {
        state.heat_source[grid.index(i, j)] = heating * grid.volume(i, j) * share_in_ball(grid, i, j, a);
      }
    }
    bench.march(state, 2e4, 40);
    // The field is even about the centre: extrapolated from the first cells by their distance squared.
    const double near = state.fields.temperature[0];
    const double next = state.fields.temperature[grid.index(1, 1)];
    centre = near + (near - next) / 8 - blood;
    outside = 0.5 * (at_point(grid, state.fields.temperature, 0, 0.006) +
                     at_point(grid, state.fields.temperature, 0.006, 0)) -
              blood;
    errors.push_back(std::abs(centre - scale));
  }
  findings.push_back(with_order(finding("centre of the ball, steady rise [K]", scale, centre, 1e-3),
                                observed_order(errors), 1.5, 2.6));
  findings.push_back(finding("6 mm from the centre, steady rise [K]", perfused_ball(heating, a, k, perfusion, 0.006),
                             outside, 1e-3, scale));
  return findings;
}

std::vector<Finding> uniform_relaxation(Effort) {
  constexpr double metabolic = 700, start = 60;
  const double settled = blood + metabolic / perfusion;
  const double exact = settled + (start - settled) * std::exp(-60 * perfusion / heat);
  std::vector<double> errors;
  double computed = 0;
  for (int level = 0; level < 4; ++level) {
    Bench bench(perfused_case(0.003, 0.003, metabolic), Grid(equal_faces(0.003, 3), equal_faces(0.003, 3)));
    State state = bench.start(false);
    std::fill(state.fields.temperature.begin(), state.fields.temperature.end(), start);
    bench.march(state, 60, 4 << level);
    computed = state.fields.temperature[0];
    errors.push_back(std::abs(computed - exact));
  }
  return {with_order(
      finding("relaxation after 60 s, above the settled temperature [K]", exact - settled, computed - settled, 1e-4),
      observed_order(errors), 1.9, 2.1)};
}

}  // namespace

std::vector<VerificationCheck> bioheat_checks() {
  return {{"H4", "Steady profiles in perfused tissue",
           "equation of H. H. Pennes, J. Appl. Physiol. 1 (1948) 93 (abstract)", steady_profiles},
          {"H5", "Point source in perfused tissue", "Carslaw and Jaeger (1959) sec. 10.4 with a sink, from memory",
           point_source},
          {"H5b", "Heated ball in perfused tissue", "screened Poisson equation (own derivation)", heated_ball},
          {"H6", "Uniform relaxation by perfusion", "elementary, after Pennes (1948)", uniform_relaxation}};
}

}  // namespace dryfront
