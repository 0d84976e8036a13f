// Electrodes pressed in or inserted: hemisphere, spheroid, rod. Their surfaces cut the cells of the grid
// (cut_cells.hpp), so that on every grid the error is that of second order.
#include <cmath>
#include <limits>
#include <numbers>

#include "numerics/cut_cells.hpp"
#include "physics/electrode_shape.hpp"
#include "studies/verification/electric_setup.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

constexpr double everywhere = std::numeric_limits<double>::infinity();
constexpr double sigma = 0.5;  // [S/m]
constexpr auto uniform = [](double) { return sigma; };

FarVoltageCells half_space(const Grid& grid) {
  return far_voltage(grid, FarVoltageKind::half_space, FarVoltageKind::half_space, 0, everywhere);
}

void add_metal(const Grid& grid, const CutBody& solid, ContactGeometry& contact) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    if (solid.inside(grid.r()[c % columns], grid.z()[c / columns])) contact.metal.push_back(c);
  }
}

// A solid around the axis that is held at a voltage.
ContactGeometry contact_with(const Grid& grid, const CutBody& solid) {
  ContactGeometry contact;
  for (const CutLink& link : cut_links(grid, solid)) {
    ContactFace face;
    face.cell = grid.index(link.i, link.j);
    face.half_cell = link.half_cell;
    face.area = link.surface;
    contact.faces.push_back(face);
  }
  add_metal(grid, solid, contact);
  return contact;
}

// Of single grids, every one with half the cells of the one before: the error of the finest, and the order of the last
// two.
Finding refined(const std::string& quantity, double exact, const std::vector<int>& cells, double allowed,
                const std::function<double(int)>& computed) {
  std::vector<double> errors;
  double last = 0;
  for (const int n : cells) {
    last = computed(n);
    errors.push_back(std::abs(last / exact - 1));
  }
  return with_order(finding(quantity, exact, last, allowed), observed_order(errors), 1.7, 2.6);
}

// Cells per radius.
std::vector<int> cells_per_radius(Effort effort) {
  return effort == Effort::quick ? std::vector<int>{10, 20} : std::vector<int>{10, 20, 40};
}

Electrode hemisphere_of(double radius) {
  Electrode ball;
  ball.shape = ElectrodeShape::dome;
  ball.radius = ball.press = radius;
  return ball;
}

Grid ball_grid(double a, int n, double end) {
  const std::vector<double> faces = growing_faces(a / n, 2 * a, 1 + 0.6 / n, end);
  return Grid(faces, faces);
}

// Share of the heat within a distance from the centre.
double heat_within(const Grid& grid, const ElectricState& electric, double distance) {
  double sum = 0;
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    if (std::hypot(grid.r()[c % columns], grid.z()[c / columns]) < distance) sum += electric.heating[c];
  }
  return sum / electric.power;
}

std::vector<Finding> hemisphere(Effort effort) {
  constexpr double a = 0.001, b = 0.01;
  const Electrode ball = hemisphere_of(a);
  const double open = 1 / (2 * pi * sigma * a);
  std::vector<Finding> findings;
  findings.push_back(refined("hemisphere in a half-space [ohm]", open, cells_per_radius(effort), 3e-4, [&](int n) {
    const Grid grid = ball_grid(a, n, 40 * a);
    return conduct(grid, contact_geometry(grid, ball), half_space(grid), uniform).result.resistance;
  }));
  double inner_power = 0;
  findings.push_back(refined("hemisphere in a grounded hemispherical shell [ohm]", (1 / a - 1 / b) / (2 * pi * sigma),
                             cells_per_radius(effort), 3e-4, [&](int n) {
                               const Grid grid = ball_grid(a, n, 1.2 * b);
                               const auto across = [&](double x) { return std::sqrt((b - x) * (b + x)); };
                               const CutBody outside{[&](double r, double z) { return std::hypot(r, z) > b; }, across,
                                                     across, [&](double r, double) { return r / b; }};
                               ContactGeometry contact = contact_geometry(grid, ball);
                               FarVoltageCells shell;
                               for (const CutLink& link : cut_links(grid, outside)) {
                                 shell.cell.push_back(grid.index(link.i, link.j));
                                 shell.to_zero.push_back(link.half_cell);
                                 shell.half_cell.push_back(link.half_cell);
                               }
                               add_metal(grid, outside, contact);
                               const Conducted c = conduct(grid, std::move(contact), std::move(shell), uniform);
                               inner_power = heat_within(grid, c.result, 2 * a);
                               return c.result.resistance;
                             }));
  findings.push_back(finding("share of the heat between a and 2 a, shell", (1 / a - 1 / (2 * a)) / (1 / a - 1 / b),
                             inner_power, 0.02));
  const double conductance = sigma / a;  // the contact is worth as much as the tissue
  findings.push_back(refined(
      "hemisphere behind a contact conductance [ohm]", open + 1 / (conductance * 2 * pi * a * a),
      cells_per_radius(effort), 3e-4, [&](int n) {
        const Grid grid = ball_grid(a, n, 40 * a);
        return conduct(grid, contact_geometry(grid, ball), half_space(grid), uniform, conductance).result.resistance;
      }));
  return findings;
}

// Tissue at an even temperature around a ball that is held: with the temperatures of the exact solution at the start,
// the heat that the ball has taken up by the end. T = T_e + D [1 - (a/r) erfc((r - a)/(2 sqrt(alpha t)))].
std::vector<Finding> held_ball(Effort effort) {
  constexpr double a = 0.001, conduction = 0.5, volumetric = 4e6, warmer = 10, begins = 0.5, ends = 2;
  constexpr double alpha = conduction / volumetric;
  const auto taken_up = [](double t) {
    return 2 * pi * a * a * conduction * warmer * (t / a + 2 * std::sqrt(t / (pi * alpha)));
  };
  const auto computed = [&](int n) {
    Case c = plain_case(constant_tissue(sigma, conduction, volumetric), 8 * a, 8 * a, 0);
    c.electrode = hemisphere_of(a);
    c.electrode.heat = ElectrodeHeat::held;
    c.electrode.contact = ContactKind::perfect;
    c.electrode.heat_transfer = 0;
    Bench bench(c, without_metal(ball_grid(a, n, 8 * a), c.electrode));
    State state = bench.start(false);
    const std::vector<double>&r = bench.grid().r(), &z = bench.grid().z();
    for (std::size_t cell = 0; cell < bench.grid().cells(); ++cell) {
      const double distance = std::max(a, std::hypot(r[cell % r.size()], z[cell / r.size()]));
      const double cooled = std::erfc((distance - a) / (2 * std::sqrt(alpha * begins))) * a / distance;
      state.fields.temperature[cell] += warmer * (1 - cooled);
    }
    const double before = stored_heat(bench.stepper().domain(), state.fields);
    bench.march(state, ends - begins, 4 * n);
    return before - stored_heat(bench.stepper().domain(), state.fields);
  };
  // What is stored is a sum over cut cells, whose middles lie beside their centres: an error of second order of either
  // sign, hence a slope over many grids.
  const double exact = taken_up(ends) - taken_up(begins);
  double last = 0;
  std::vector<double> sizes, errors;
  for (const int n :
       effort == Effort::quick ? std::vector<int>{5, 7, 10, 14} : std::vector<int>{5, 7, 10, 14, 20, 28}) {
    last = computed(n);
    sizes.push_back(1.0 / n);
    errors.push_back(std::abs(last / exact - 1));
  }
  return {with_order(finding("heat into a hemisphere held colder [J]", exact, last, 5e-4), fitted_order(sizes, errors),
                     1.7, 2.8)};
}

std::vector<Finding> spheroid(Effort effort) {
  constexpr double a = 0.001, length = 0.01;
  const double focus = std::sqrt(length * length - a * a);
  const double exact = std::atanh(focus / length) / (2 * pi * sigma * focus);
  const CutBody needle{[](double r, double z) { return r * r / (a * a) + z * z / (length * length) < 1; },
                       [](double z) { return a * std::sqrt(std::max(0.0, 1 - z * z / (length * length))); },
                       [](double r) { return length * std::sqrt(std::max(0.0, 1 - r * r / (a * a))); },
                       [](double r, double z) {
                         const double n_r = r / (a * a), n_z = z / (length * length);
                         return n_r / std::hypot(n_r, n_z);
                       }};
  // The tip, with a radius of curvature of a tenth of a, wants fine cells for the full order.
  const std::vector<int> sizes = effort == Effort::quick ? std::vector<int>{8, 16} : std::vector<int>{10, 20, 40};
  double point = 0;
  std::vector<Finding> findings;
  findings.push_back(refined("half-spheroid of 1 mm by 10 mm [ohm]", exact, sizes, 1e-3, [&](int n) {
    const double size = a / n;
    const double growth = 1 + 0.4 / n;
    constexpr double end = 300 * a;
    const Grid grid(growing_faces(size, 2 * a, growth, end), growing_faces(size, 1.1 * length, growth, end));
    const Conducted c = conduct(grid, contact_with(grid, needle), half_space(grid), uniform);
    point = at_point(grid, c.result.potential, 0.01, 0.01);
    return c.result.resistance;
  }));
  const double xi = (std::hypot(0.01, 0.01 - focus) + std::hypot(0.01, 0.01 + focus)) / (2 * focus);
  findings.push_back(finding("V/V0 at r = z = 10 mm", std::atanh(1 / xi) / std::atanh(focus / length), point, 0.02));
  return findings;
}

std::vector<Finding> rod(Effort effort) {
  constexpr double a = 0.0005, length = 0.01;
  constexpr double exact = 104.83437864788041;  // flat-ended rod, boundary integral equation
  Electrode needle;
  needle.shape = ElectrodeShape::rod;
  needle.radius = a;
  needle.length = length;
  std::vector<double> errors;
  double resistance = 0;
  const int members = effort == Effort::quick ? 3 : 4;
  for (int level = 0; level < members; ++level) {
    const double size = std::ldexp(a / 4, -level);
    const double growth = 1 + std::ldexp(0.08, -level);
    const Grid grid(growing_faces(size, 2 * a, growth, 0.3), growing_faces(size, 1.1 * length, growth, 0.3));
    resistance = conduct(grid, contact_geometry(grid, needle), half_space(grid), uniform).result.resistance;
    errors.push_back(std::abs(resistance / exact - 1));
  }
  // The singularity of a corner of 270 degrees makes it 4/3 in the end.
  return {with_order(finding("rod of 0.5 mm by 10 mm, equal cells [ohm]", exact, resistance, 1e-3),
                     observed_order(errors), 1.2, 1.9)};
}

}  // namespace

std::vector<VerificationCheck> electrode_shape_checks() {
  return {
      {"E2", "Hemispherical electrode",
       "E. D. Sunde, Earth Conduction Effects in Transmission Systems (Van Nostrand, 1949), from memory", hemisphere},
      {"E2b", "Heat into a hemisphere held at a temperature",
       "H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (Oxford, 1959), sec. 9.10, from memory",
       held_ball},
      {"E3", "Prolate half-spheroid",
       "L. D. Landau and E. M. Lifshitz, Electrodynamics of Continuous Media, sec. 4, from memory", spheroid},
      {"E3b", "Flat-ended rod",
       "boundary integral equation solved for this check by an independent program; compare W. R. Smythe, "
       "J. Appl. Phys. 33 (1962) 2966 (from memory)",
       rod}};
}

}  // namespace dryfront
