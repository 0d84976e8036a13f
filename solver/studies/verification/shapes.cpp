// Electrodes pressed in or inserted: hemisphere, spheroid, rod. Their surfaces are stepped on the grid, so that the
// error falls with the first power of the cell, with the noise of the steps.
#include <cmath>
#include <limits>
#include <numbers>

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

using Inside = std::function<bool(double r, double z)>;

// Calls visit(cell, half-cell conductance) for every face between a cell outside and one inside.
template <class Visit>
void for_boundary_faces(const Grid& grid, const Inside& inside, Visit visit) {
  const auto is_inside = [&](int i, int j) {
    return inside(grid.r()[static_cast<std::size_t>(i)], grid.z()[static_cast<std::size_t>(j)]);
  };
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      if (is_inside(i, j)) continue;
      const std::size_t cell = grid.index(i, j);
      if (i > 0 && is_inside(i - 1, j)) visit(cell, radial_half_conductance(grid, 1.0, i, i, j));
      if (i + 1 < grid.columns() && is_inside(i + 1, j)) visit(cell, radial_half_conductance(grid, 1.0, i + 1, i, j));
      if (j > 0 && is_inside(i, j - 1)) visit(cell, axial_half_conductance(grid, 1.0, i, j));
      if (j + 1 < grid.rows() && is_inside(i, j + 1)) visit(cell, axial_half_conductance(grid, 1.0, i, j));
    }
  }
}

void add_metal(const Grid& grid, const Inside& inside, ContactGeometry& contact) {
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const auto columns = static_cast<std::size_t>(grid.columns());
    if (inside(grid.r()[c % columns], grid.z()[c / columns])) contact.metal.push_back(c);
  }
}

// A contact of any shape.
ContactGeometry stepped_contact(const Grid& grid, const Inside& inside) {
  ContactGeometry contact;
  add_metal(grid, inside, contact);
  for_boundary_faces(grid, inside, [&](std::size_t cell, double half_cell) {
    ContactFace face;
    face.cell = cell;
    face.half_cell = half_cell;
    contact.faces.push_back(face);
  });
  return contact;
}

// The steps make the error jump from grid to grid, of either sign. Its order is told from the root mean square over a
// group of coarse grids and over one of grids four times finer; the error reported is the latter.
Finding stepped_finding(const std::string& quantity, double exact, const std::vector<int>& coarse, double allowed,
                        const std::function<double(int)>& resistance) {
  double computed = 0;
  const auto group_error = [&](int factor) {
    double sum = 0;
    for (const int n : coarse) {
      computed = resistance(factor * n);
      sum += (computed / exact - 1) * (computed / exact - 1);
    }
    return std::sqrt(sum / static_cast<double>(coarse.size()));
  };
  const double error_coarse = group_error(1);
  const double error_fine = group_error(4);
  Finding result = finding(quantity, exact, computed, allowed);
  result.error = error_fine;
  return with_order(result, std::log2(error_coarse / error_fine) / 2, 0.7, 1.6);
}

// Cells per radius.
std::vector<int> cells_of_the_coarse_group(Effort effort) {
  return effort == Effort::quick ? std::vector<int>{5, 6, 7, 8, 9, 10}
                                 : std::vector<int>{6, 7, 8, 9, 10, 11, 12, 13, 14};
}

std::vector<Finding> hemisphere(Effort effort) {
  constexpr double a = 0.001, b = 0.01;
  Electrode ball;
  ball.shape = ElectrodeShape::dome;
  ball.radius = ball.press = a;
  std::vector<Finding> findings;
  findings.push_back(
      stepped_finding("hemisphere in a half-space [ohm]", 1 / (2 * pi * sigma * a), cells_of_the_coarse_group(effort),
                      0.02, [&](int n) {
                        const std::vector<double> faces = growing_faces(a / n, 2 * a, 1 + 0.6 / n, 40 * a);
                        const Grid grid(faces, faces);
                        return conduct(grid, contact_geometry(grid, ball), half_space(grid), uniform).result.resistance;
                      }));
  double inner_power = 0;
  findings.push_back(
      stepped_finding("hemisphere in a grounded hemispherical shell [ohm]", (1 / a - 1 / b) / (2 * pi * sigma),
                      cells_of_the_coarse_group(effort), 0.02, [&](int n) {
                        const std::vector<double> faces = growing_faces(a / n, 2 * a, 1 + 0.6 / n, 1.02 * b);
                        const Grid grid(faces, faces);
                        const Inside outside = [&](double r, double z) { return std::hypot(r, z) > b; };
                        ContactGeometry contact = contact_geometry(grid, ball);
                        FarVoltageCells shell;
                        for_boundary_faces(grid, outside, [&](std::size_t cell, double half_cell) {
                          shell.cell.push_back(cell);
                          shell.to_zero.push_back(half_cell);
                          shell.half_cell.push_back(half_cell);
                        });
                        add_metal(grid, outside, contact);
                        const Conducted c = conduct(grid, std::move(contact), std::move(shell), uniform);
                        inner_power = 0;
                        for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
                          const auto columns = static_cast<std::size_t>(grid.columns());
                          if (std::hypot(grid.r()[cell % columns], grid.z()[cell / columns]) < 2 * a)
                            inner_power += c.result.heating[cell];
                        }
                        inner_power /= c.result.power;
                        return c.result.resistance;
                      }));
  findings.push_back(finding("share of the heat between a and 2 a, shell", (1 / a - 1 / (2 * a)) / (1 / a - 1 / b),
                             inner_power, 0.02));
  return findings;
}

std::vector<Finding> spheroid(Effort) {
  constexpr double a = 0.001, length = 0.01;
  const double focus = std::sqrt(length * length - a * a);
  const double exact = std::atanh(focus / length) / (2 * pi * sigma * focus);
  const Inside needle = [&](double r, double z) { return r * r / (a * a) + z * z / (length * length) < 1; };
  const std::vector<int> cells = {4, 5, 6, 7, 8};
  double point = 0;
  std::vector<Finding> findings;
  findings.push_back(stepped_finding("half-spheroid of 1 mm by 10 mm [ohm]", exact, cells, 0.02, [&](int n) {
    const double size = a / n;
    const double growth = 1 + 0.4 / n;
    const Grid grid(growing_faces(size, 1.5 * a, growth, 300 * a), growing_faces(size, 1.1 * length, growth, 300 * a));
    const Conducted c = conduct(grid, stepped_contact(grid, needle), half_space(grid), uniform);
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
      {"E3", "Prolate half-spheroid",
       "L. D. Landau and E. M. Lifshitz, Electrodynamics of Continuous Media, sec. 4, from memory", spheroid},
      {"E3b", "Flat-ended rod",
       "boundary integral equation solved for this check by an independent program; compare W. R. Smythe, "
       "J. Appl. Phys. 33 (1962) 2966 (from memory)",
       rod}};
}

}  // namespace dryfront
