// Conduction of heat: flux, disc source, spreading, cylinder with films, electrode as a lump.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

constexpr double k = 0.5;                 // [W/(m K)]
constexpr double heat = 1050.0 * 3600;    // [J/(m3 K)]
constexpr double diffusivity = k / heat;  // [m2/s]
constexpr double q = 20000;               // [W/m2]
constexpr double start = 37;              // [C]

Tissue tissue() { return constant_tissue(0.5, k, heat); }

// Uniform heat through the surface within `radius`, put into the cells it enters first.
void heat_surface(const Grid& grid, double flux, double radius, State& state) {
  for (int i = 0; i < grid.columns(); ++i) {
    if (grid.r()[static_cast<std::size_t>(i)] < radius) state.heat_source[grid.index(i, 0)] = flux * grid.axial_area(i);
  }
}

// Temperatures of the surface itself, half a cell above the centres.
std::vector<double> surface_temperature(const Grid& grid, const State& state) {
  std::vector<double> surface = state.fields.temperature;
  for (int i = 0; i < grid.columns(); ++i) {
    const std::size_t c = grid.index(i, 0);
    surface[c] += state.heat_source[c] / grid.axial_area(i) * 0.5 * grid.height(0) / k;
  }
  return surface;
}

std::vector<Finding> flux_into_slab(Effort effort) {
  const int members = effort == Effort::quick ? 4 : 5;
  struct Place {
    const char* name;
    double depth, z, t, exact;
  };
  const double t = 10;
  const double length = 2 * std::sqrt(diffusivity * t);
  const Place places[] = {
      {"half-space, rise of the surface after 10 s [K]", 0.04, 0, t, q / k * length * ierfc(0)},
      {"half-space, rise 2 mm deep after 10 s [K]", 0.04, 0.002, t, q / k * length * ierfc(0.002 / length)},
      {"slab of 5 mm, rise of the front after 60 s [K]", 0.005, 0, 60, heated_slab_front(q, 0.005, k, diffusivity, 60)},
      {"slab of 5 mm, rise of the back after 60 s [K]", 0.005, 0.005, 60,
       heated_slab_back(q, 0.005, k, diffusivity, 60)}};
  std::vector<Finding> findings;
  for (const Place& place : places) {
    std::vector<double> errors;
    double computed = 0;
    for (int level = 0; level < members; ++level) {
      const double mark[] = {0.0};
      const Grading grading{std::ldexp(2e-4, -level), 1 + std::ldexp(0.2, -level), std::ldexp(2e-3, -level)};
      Bench bench(plain_case(tissue(), 0.003, place.depth, 1),
                  Grid(equal_faces(0.003, 3), graded_faces(0, place.depth, {}, mark, grading)));
      State state = bench.start(false);
      heat_surface(bench.grid(), q, 1, state);
      bench.march(state, place.t, 40 << level);
      const std::vector<double>& field =
          place.z > 0 ? state.fields.temperature : surface_temperature(bench.grid(), state);
      computed = at_point(bench.grid(), field, 0, place.z) - start;
      errors.push_back(std::abs(computed - place.exact));
    }
    findings.push_back(with_order(finding(place.name, place.exact, computed, 1e-3), observed_order(errors), 1.7, 2.4));
  }
  return findings;
}

std::vector<Finding> disc_source(Effort effort) {
  constexpr double a = 0.002;
  const int members = 3;
  struct Place {
    const char* name;
    double r, z, exact;
  };
  const double t = 10;
  const Place places[] = {
      {"centre of the surface after 10 s, rise [K]", 0, 0, heated_disc_axis(q, a, k, diffusivity, 0, t)},
      {"axis, 1 mm deep, rise [K]", 0, 0.001, heated_disc_axis(q, a, k, diffusivity, 0.001, t)},
      {"axis, 2 mm deep, rise [K]", 0, 0.002, heated_disc_axis(q, a, k, diffusivity, 0.002, t)},
      {"surface at r = 1 mm, rise [K]", 0.001, 0, 78.32290037562274 - start},
      {"surface at r = 4 mm, rise [K]", 0.004, 0, 37.84681562142782 - start}};
  const double scale = heated_disc_axis(q, a, k, diffusivity, 0, t);
  std::vector<std::vector<double>> errors(std::size(places));
  std::vector<double> computed(std::size(places));
  for (int level = 0; level < members; ++level) {
    const double edge[] = {a};
    const double surface[] = {0.0};
    const Grading grading{std::ldexp(1e-4, -level), 1 + std::ldexp(0.15, -level), std::ldexp(2e-3, -level)};
    Bench bench(plain_case(tissue(), 8 * a, 8 * a, 1),
                Grid(graded_faces(0, 8 * a, edge, edge, grading), graded_faces(0, 8 * a, {}, surface, grading)));
    State state = bench.start(false);
    heat_surface(bench.grid(), q, a, state);
    bench.march(state, t, 80 << level);
    const std::vector<double> surface_field = surface_temperature(bench.grid(), state);
    for (std::size_t p = 0; p < std::size(places); ++p) {
      const std::vector<double>& field = places[p].z > 0 ? state.fields.temperature : surface_field;
      computed[p] = at_point(bench.grid(), field, places[p].r, places[p].z) - start;
      errors[p].push_back(std::abs(computed[p] - places[p].exact));
    }
  }
  std::vector<Finding> findings;
  for (std::size_t p = 0; p < std::size(places); ++p) {
    const Finding f = finding(places[p].name, places[p].exact, computed[p], 1e-3, scale);
    findings.push_back(p == 0 ? with_order(f, observed_order(errors[p]), 1.7, 2.4) : f);
  }

  // Steady: the far boundary 10,000 radii away, the heat capacity irrelevant and made small.
  const double far = 1e4 * a;
  const double edge[] = {a};
  const double surface[] = {0.0};
  const double finer = effort == Effort::quick ? 0.4 : 0.25;
  const Grading grading{4e-5 * finer, 1 + 0.08 * finer, far};
  Case c = plain_case(constant_tissue(0.5, k, 1), far, far, 1);
  c.electrode.radius = a;
  c.specimen.side_heat = c.specimen.bottom_heat = FarHeat::held;
  Bench bench(c, Grid(graded_faces(0, far, edge, edge, grading), graded_faces(0, far, {}, surface, grading)));
  State state = bench.start(false);
  heat_surface(bench.grid(), q, a, state);
  bench.march(state, 1e5, 30);
  const std::vector<double> field = surface_temperature(bench.grid(), state);
  const double centre = q * a / k;
  findings.push_back(
      finding("steady rise of the centre, q a/k [K]", centre, at_point(bench.grid(), field, 0, 0) - start, 1e-3));
  findings.push_back(finding("steady rise at r = a/2 [K]", 2 * centre / pi * std::comp_ellint_2(0.5),
                             at_point(bench.grid(), field, 0.5 * a, 0) - start, 1e-3, centre));
  return findings;
}

std::vector<Finding> gaussian_spreading(Effort effort) {
  constexpr double rise = 40, width_r = 0.001, width_z = 0.0006, t = 5;
  const int members = effort == Effort::quick ? 3 : 4;
  std::vector<Finding> findings;
  for (const double perfusion : {0.0, 40000.0}) {
    const auto exact = [&](double r, double z, double at) {
      const double rr = width_r * width_r + 2 * diffusivity * at;
      const double zz = width_z * width_z + 2 * diffusivity * at;
      return rise * width_r * width_r / rr * width_z / std::sqrt(zz) *
             std::exp(-r * r / (2 * rr) - z * z / (2 * zz) - perfusion * at / heat);
    };
    std::vector<double> errors, axis_errors;
    double centre = 0, energy = 0, energy_start = 0;
    for (int level = 0; level < members; ++level) {
      Case c = plain_case(tissue(), 0.012, 0.012, 1);
      c.physics.perfusion = perfusion > 0;
      c.specimen.layers[0].tissue.perfusion = perfusion / c.specimen.layers[0].tissue.blood_heat;
      const int cells = 48 << level;
      Bench bench(c, Grid(equal_faces(0.012, cells), equal_faces(0.012, cells)));
      const Grid& grid = bench.grid();
      const auto columns = static_cast<std::size_t>(grid.columns());
      State state = bench.start(false);
      for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
        state.fields.temperature[cell] = start + exact(grid.r()[cell % columns], grid.z()[cell / columns], 0);
      }
      energy_start = bench.stepper().stored(state).heat;
      bench.march(state, t, 12 << level);
      energy = bench.stepper().stored(state).heat;
      double worst = 0, worst_on_axis = 0;
      for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
        const double error = std::abs(state.fields.temperature[cell] - start -
                                      exact(grid.r()[cell % columns], grid.z()[cell / columns], t));
        worst = std::max(worst, error);
        if (cell % columns == 0) worst_on_axis = std::max(worst_on_axis, error);
      }
      centre = at_point(grid, state.fields.temperature, grid.r()[0], grid.z()[0]) - start;
      errors.push_back(worst);
      axis_errors.push_back(worst_on_axis);
      if (level + 1 < members) continue;
      const std::string with = perfusion > 0 ? ", perfused" : "";
      const double peak = exact(0, 0, t);
      const double exact_centre = exact(grid.r()[0], grid.z()[0], t);
      findings.push_back(
          with_order(finding("greatest error over the peak, whole field" + with, 0, worst / peak, 2e-3, 1),
                     observed_order(errors), 1.8, 2.2));
      findings.push_back(
          with_order(finding("greatest error over the peak, axis" + with, 0, worst_on_axis / peak, 2e-3, 1),
                     observed_order(axis_errors), 1.8, 2.2));
      findings.push_back(finding("rise in the first cell after 5 s" + with + " [K]", exact_centre, centre, 1e-3));
    }
    if (perfusion == 0)
      findings.push_back(finding("heat conserved over 5 s, insulated", 1, energy / energy_start, 1e-6));
  }
  return findings;
}

// Conduction in a cylinder with films at the side and at the top: the side's film stands as a contact's.
struct FilmCylinder {
  double b = 0.005, length = 0.008, film_side = 150, film_top = 50, perfusion = 40000, surroundings = 37;
  double xi = 0, zeta = 0;

  FilmCylinder() {
    const double biot_r = film_side * b / k;
    const double biot_z = film_top * length / k;
    xi = root_between([&](double x) { return x * std::cyl_bessel_j(1, x) - biot_r * std::cyl_bessel_j(0, x); }, 0.1,
                      2.4);
    zeta = root_between([&](double z) { return z * std::tan(z) - biot_z; }, 0.01, 1.57);
  }
  double rate() const { return diffusivity * (xi * xi / (b * b) + zeta * zeta / (length * length)) + perfusion / heat; }
  double mode(double r, double z) const {
    return std::cyl_bessel_j(0, xi * r / b) * std::cos(zeta * (length - z) / length);
  }
};

struct FilmCylinderHeat {
  Grid grid;
  HeatOperator op;
  EnthalpyLaw enthalpy;

  FilmCylinderHeat(const FilmCylinder& cylinder, int cells)
      : grid(equal_faces(cylinder.b, cells), equal_faces(cylinder.length, 2 * cells)) {
    ContactGeometry side;
    side.covered.assign(static_cast<std::size_t>(grid.columns()), 0);
    const int last = grid.columns() - 1;
    std::vector<double> perfusion;
    for (int j = 0; j < grid.rows(); ++j) {
      ContactFace face;
      face.cell = grid.index(last, j);
      face.area = grid.radial_area(last + 1, j);
      face.half_cell = radial_half_conductance(grid, 1.0, last + 1, last, j);
      side.faces.push_back(face);
      for (int i = 0; i < grid.columns(); ++i) perfusion.push_back(cylinder.perfusion * grid.volume(i, j));
    }
    op.outlet_temperature.fill(cylinder.surroundings);
    set_heat_operator(grid, side, {cylinder.film_top, false, false, false},
                      std::vector<double>(side.faces.size(), cylinder.film_side), std::vector<double>(grid.cells(), k),
                      perfusion, op);
    for (int j = 0; j < grid.rows(); ++j) {
      for (int i = 0; i < grid.columns(); ++i) enthalpy.wet.push_back(heat * grid.volume(i, j));
    }
    enthalpy.dry = enthalpy.wet;
    enthalpy.latent.assign(grid.cells(), 0.0);
    enthalpy.boiling_point.assign(grid.cells(), 1e9);
  }
};

// The top film of the cylinder in a case, uniform start, insulated side: in one dimension a plane wall's series.
Finding film_wall(const FilmCylinder& cylinder, Effort effort) {
  const double biot = cylinder.film_top * cylinder.length / k;
  double exact = 0;
  for (int n = 0; n < 40; ++n) {
    const double root =
        root_between([&](double x) { return x * std::sin(x) - biot * std::cos(x); }, n * pi + 1e-9, (n + 0.5) * pi);
    exact += 2 * std::sin(root) / (root + std::sin(root) * std::cos(root)) *
             std::exp(-diffusivity * root * root * 60 / (cylinder.length * cylinder.length));
  }
  Case c = plain_case(tissue(), cylinder.b, cylinder.length, 1);
  c.specimen.air_heat_transfer = cylinder.film_top;
  c.electrode.radius = 1e-4;  // one cell on the axis
  const double axis_faces[] = {1e-4};
  const double marks[] = {0.0};
  std::vector<double> r_face = graded_faces(0, cylinder.b, axis_faces, marks, {1e-4, 2, 2e-3});
  Bench bench(c, Grid(r_face, equal_faces(cylinder.length, effort == Effort::quick ? 60 : 120)));
  State state = bench.start(false);
  std::fill(state.fields.temperature.begin(), state.fields.temperature.end(), 57.0);
  bench.march(state, 60, effort == Effort::quick ? 120 : 240);
  return finding("plane wall with a film, uniform start, back after 60 s, rise [K]", 20 * exact,
                 at_point(bench.grid(), state.fields.temperature, 0.004, cylinder.length) - 37, 1e-3);
}

std::vector<Finding> film_cylinder(Effort effort) {
  const FilmCylinder cylinder;
  const int members = 3;
  std::vector<double> errors;
  double rate = 0, point = 0;
  const double t = 20;
  const double exact_point = 20 * cylinder.mode(0.0025, 0.004) * std::exp(-cylinder.rate() * t);
  for (int level = 0; level < members; ++level) {
    FilmCylinderHeat cylinder_heat(cylinder, 8 << level);
    const Grid& grid = cylinder_heat.grid;
    const auto columns = static_cast<std::size_t>(grid.columns());
    HeatStage stage(grid.columns(), grid.rows());
    std::vector<double> temperature(grid.cells()), taken(grid.cells()), face(grid.cells());
    const std::vector<double> nothing(grid.cells(), 0.0);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      temperature[c] = 37 + 20 * cylinder.mode(grid.r()[c % columns], grid.z()[c / columns]);
    }
    // One implicit stage divides every discrete eigenmode by 1 + rate * duration.
    const double duration = 2;
    double before = 0;
    constexpr int stages = 12;
    for (int n = 0; n < stages; ++n) {
      before = temperature[0] - 37;
      cylinder_heat.enthalpy.start = temperature;
      if (!stage.solve(cylinder_heat.op, cylinder_heat.enthalpy, nothing, duration, 1e-9, temperature, taken, face)
               .converged) {
        throw NumericalFailure("heat did not converge");
      }
    }
    rate = (before / (temperature[0] - 37) - 1) / duration;
    errors.push_back(std::abs(rate / cylinder.rate() - 1));
    point = at_point(grid, temperature, 0.0025, 0.004) - 37;
    point *= std::pow(1 + rate * duration, stages) * std::exp(-rate * t);  // the stages' own decay, taken out
  }
  std::vector<Finding> findings{
      with_order(finding("rate of decay of the slowest mode [1/s]", cylinder.rate(), rate, 1e-3),
                 observed_order(errors), 1.9, 2.1),
      finding("mode at r = 2.5 mm, z = 4 mm after 20 s, rise [K]", exact_point, point, 1e-3)};

  findings.push_back(film_wall(cylinder, effort));
  return findings;
}

std::vector<Finding> lumped_electrode(Effort) {
  // A thin plate of tissue that conducts well beside a lump of metal: two bodies, one film.
  constexpr double radius = 0.004, depth = 1e-4, film = 800, capacity = 0.02;
  Case c = plain_case(constant_tissue(0.5, 5e6, heat), radius, depth, 1);
  c.electrode.heat = ElectrodeHeat::lumped;
  c.electrode.heat_transfer = film;
  c.electrode.capacity = capacity;
  const double area = pi * radius * radius;
  const double of_tissue = heat * area * depth;
  const double rate = film * area * (1 / capacity + 1 / of_tissue);
  const double final = (of_tissue * 77 + capacity * 37) / (of_tissue + capacity);
  const double t = 1 / rate;
  const double exact = final + (37 - final) * std::exp(-rate * t);
  std::vector<double> errors;
  double computed = 0;
  for (int level = 0; level < 3; ++level) {
    Bench bench(c, Grid(equal_faces(radius, 3), equal_faces(depth, 4)));
    State state = bench.start(false);
    std::fill(state.fields.temperature.begin(), state.fields.temperature.end(), 77.0);
    bench.march(state, t, 12 << level);
    computed = state.fields.electrode_temperature;
    errors.push_back(std::abs(computed - exact));
  }
  return {with_order(finding("electrode after one time constant, rise [K]", exact - 37, computed - 37, 1e-3),
                     observed_order(errors), 1.7, 2.3)};
}

// A slab that warms itself evenly by q per volume, held at its bottom and through touching spots at its face:
// T(z) - T_0 = A (1 + h z/k) - q z^2/(2 k),  A = (q L^2/(2 k))/(1 + h L/k),  h = k K + (1 - chi) h_gap.
std::vector<Finding> heat_through_spots(Effort) {
  constexpr double radius = 0.004, depth = 1e-3, gaps = 800, warms = 2e7, share = 0.1, pitch = 0.3e-3;
  Case c = plain_case(constant_tissue(0.5, k, heat), radius, depth, 1);
  c.specimen.layers[0].tissue.metabolic = warms;
  c.specimen.bottom_heat = FarHeat::held;
  c.electrode.contact = ContactKind::spots;
  c.electrode.contact_fraction = share;
  c.electrode.spot_pitch = pitch;
  c.electrode.heat = ElectrodeHeat::held;
  c.electrode.heat_transfer = gaps;
  const double eps = std::sqrt(share);
  const double psi =
      1 - 1.40978 * eps + 0.34406 * std::pow(eps, 3) + 0.0435 * std::pow(eps, 5) + 0.02271 * std::pow(eps, 7);
  const double h = k * 4 * eps / (std::sqrt(pi) * pitch * psi) + (1 - share) * gaps;
  Bench bench(c, Grid(equal_faces(radius, 3), equal_faces(depth, 80)));
  State state = bench.start(false);
  constexpr double steady = 100;  // thirty times the slowest time constant [s]
  bench.march(state, steady, 100);
  const double z = bench.grid().z()[0];
  const double at_face = warms * depth * depth / (2 * k) / (1 + h * depth / k);
  return {finding("steady temperature below the face, rise [K]", at_face * (1 + h * z / k) - warms * z * z / (2 * k),
                  state.fields.temperature[0] - c.specimen.start, 5e-4)};
}

}  // namespace

std::vector<VerificationCheck> heat_checks() {
  return {
      {"H1", "Constant flux into a half-space and a slab",
       "H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (1959) secs. 2.9, 3.8, from memory",
       flux_into_slab},
      {"H2", "Uniform disc source on a half-space", "Carslaw and Jaeger (1959) sec. 10.5, from memory", disc_source},
      {"H3", "Spreading of a Gaussian, with and without perfusion", "Carslaw and Jaeger (1959) sec. 10.3, from memory",
       gaussian_spreading},
      {"H7", "Cylinder with films: slowest mode, uniform start",
       "Carslaw and Jaeger (1959) secs. 3.11, 7.7, 8.3, from memory", film_cylinder},
      {"H8", "Electrode as a lump of metal", "two bodies and a film (elementary)", lumped_electrode},
      {"H9", "Heat through touching spots into a held electrode",
       "steady slab with a source (elementary), polynomial of Negus and Yovanovich 1984 (from memory)",
       heat_through_spots}};
}

}  // namespace dryfront
