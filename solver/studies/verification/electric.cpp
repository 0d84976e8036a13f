// Resistance and current of a disc: half-space, cylinder, layers.
#include <cmath>
#include <limits>

#include "studies/verification/electric_setup.hpp"
#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

constexpr double everywhere = std::numeric_limits<double>::infinity();
constexpr double a = 0.001;    // disc [m]
constexpr double sigma = 0.5;  // [S/m]
constexpr auto uniform = [](double) { return sigma; };

FarVoltageCells half_space(const Grid& grid) {
  return far_voltage(grid, FarVoltageKind::half_space, FarVoltageKind::half_space, 0, everywhere);
}

FarVoltageCells cylinder(const Grid& grid, bool grounded_side) {
  return far_voltage(grid, grounded_side ? FarVoltageKind::grounded : FarVoltageKind::insulated,
                     FarVoltageKind::grounded, 0, everywhere);
}

// Resistance on a family of grids, each member with half the cells of the one before.
struct Family {
  std::vector<double> errors;
  double finest = 0;
};
Family family_of(int members, double exact, const std::function<double(int)>& resistance) {
  Family family;
  for (int level = 0; level < members; ++level) {
    family.finest = resistance(level);
    family.errors.push_back(std::abs(family.finest / exact - 1));
  }
  return family;
}

Finding graded_finding(const std::string& quantity, int members, double exact,
                       const std::function<double(int)>& resistance) {
  const Family family = family_of(members, exact, resistance);
  return with_order(finding(quantity, exact, family.finest, 1e-3), observed_order(family.errors), 1.8, 2.2);
}

std::vector<Finding> disc_on_half_space(Effort effort) {
  const int members = effort == Effort::quick ? 4 : 5;
  const double exact = 1 / (4 * sigma * a);
  const double far = 40 * a;
  const double edges[] = {0.5 * a, 0.9 * a, a};
  const double edge[] = {a};
  const double surface[] = {0.0};
  std::vector<Finding> findings;
  std::vector<double> at_depth, inside, power;
  const double point_r = 0.5 * a, point_z = 0.5 * a;
  const double exact_point = disc_potential(point_r, point_z, a);
  const double exact_inside = 1 - std::sqrt(1 - 0.9 * 0.9);
  Conducted last;
  double last_point = 0, last_inside = 0;
  findings.push_back(graded_finding("resistance, grids graded to the edge [ohm]", members, exact, [&](int level) {
    const Grading grading = graded_to_edge(a / 20, 1.3, 5 * a, level);
    const Grid grid(graded_faces(0, far, edges, edge, grading), graded_faces(0, far, {}, surface, grading));
    last = conduct(grid, disc_contact(grid, a), half_space(grid), uniform);
    last_point = at_point(grid, last.result.potential, point_r, point_z);
    last_inside = last.current_within(grid, 0.9 * a);
    at_depth.push_back(std::abs(last_point - exact_point));
    inside.push_back(std::abs(last_inside - exact_inside));
    return last.result.resistance;
  }));
  findings.push_back(
      with_order(finding("V/V0 at r = z = a/2", exact_point, last_point, 1e-3), observed_order(at_depth), 1.6, 2.2));
  findings.push_back(finding("share of the current that enters within 0.9 a", exact_inside, last_inside, 1e-3, 1));
  findings.push_back(
      finding("sum of the heating, inside and beyond the grid, over V I", 1,
              (last.result.volume_power + last.result.beyond_power) / (last.result.rms * last.result.inflow), 1e-8));

  // Equal cells at the edge: plain differences are of first order there, the exact flux at the rim makes it second; and
  // Richardson's extrapolation from the last two.
  std::vector<double> resistance;
  const Family equal = family_of(3, exact, [&](int level) {
    const double size = a / std::ldexp(8.0, level);
    const double growth = 1 + std::ldexp(0.2, -level);
    const Grid grid(growing_faces(size, 2 * a, growth, far), growing_faces(size, a, growth, far));
    resistance.push_back(conduct(grid, disc_contact(grid, a), half_space(grid), uniform).result.resistance);
    return resistance.back();
  });
  findings.push_back(with_order(finding("resistance, equal cells of a/32 [ohm]", exact, equal.finest, 0.02),
                                observed_order(equal.errors), 1.8, 2.2));
  findings.push_back(
      finding("the same, extrapolated from a/16 and a/32 [ohm]", exact, (4 * resistance[2] - resistance[1]) / 3, 1e-3));
  return findings;
}

std::vector<Finding> disc_on_cylinder(Effort effort) {
  const int members = effort == Effort::quick ? 4 : 5;
  struct Place {
    double r, z, volts;
  };
  struct Side {
    const char* name;
    bool grounded;
    double resistance;
    Place place;
  };
  const Side sides[] = {{"insulated", false, 444.6900416667659, {0.001, 0.001, 6.878291275212012}},
                        {"grounded", true, 418.46557857268243, {0.001, 0.001, 6.19880087708642}}};
  std::vector<Finding> findings;
  for (const Side& side : sides) {
    double point = 0;
    findings.push_back(graded_finding(
        std::string("resistance, side ") + side.name + " [ohm]", members, side.resistance, [&](int level) {
          const Grid grid = disc_grid(a, 0.004, 0.003, {}, level);
          const Conducted c = conduct(grid, disc_contact(grid, a), cylinder(grid, side.grounded), uniform);
          point = at_point(grid, c.result.potential, side.place.r, side.place.z);
          return c.result.resistance;
        }));
    findings.push_back(finding(std::string("V at r = z = 1 mm for 20 V, side ") + side.name + " [V]", side.place.volts,
                               20 * point, 1e-3, 20));
  }
  return findings;
}

std::vector<Finding> disc_on_layers(Effort effort) {
  const int members = effort == Effort::quick ? 4 : 5;
  std::vector<Finding> findings;
  findings.push_back(
      graded_finding("half-space, 0.8 mm of 0.5 S/m on 0.1 S/m [ohm]", members, 885.2882976865064, [](int level) {
        const double far = 4000 * a;
        const double stops[] = {0.0008};
        const double marks[] = {0.0, 0.0008};
        const double edge[] = {a};
        const Grading grading = graded_to_edge(a / 20, 1.3, 500 * a, level);
        const Grid grid(graded_faces(0, far, edge, edge, grading), graded_faces(0, far, stops, marks, grading));
        return conduct(grid, disc_contact(grid, a), half_space(grid), [](double z) { return z < 0.0008 ? 0.5 : 0.1; })
            .result.resistance;
      }));
  findings.push_back(
      graded_finding("cylinder, 1 mm of 0.5 S/m on 2 mm of 0.1 S/m [ohm]", members, 807.2415168549419, [](int level) {
        const Grid grid = disc_grid(a, 0.004, 0.003, {0.001}, level);
        return conduct(grid, disc_contact(grid, a), cylinder(grid, false),
                       [](double z) { return z < 0.001 ? 0.5 : 0.1; })
            .result.resistance;
      }));
  return findings;
}

}  // namespace

std::vector<VerificationCheck> electric_checks() {
  return {
      {"E1", "Disc electrode on a half-space",
       "H. Weber, J. reine angew. Math. 75 (1873) 75; J. Newman, J. Electrochem. Soc. 113 (1966) 501 (both from "
       "memory)",
       disc_on_half_space},
      {"E4", "Disc on a finite cylinder, bottom grounded",
       "dual integral and series method, I. N. Sneddon, Mixed Boundary Value Problems in Potential Theory (1966), from "
       "memory; kernel and numbers computed for this check by an independent program",
       disc_on_cylinder},
      {"E5", "Disc on two layers: half-space and finite cylinder",
       "surface kernel of G. F. Tagg, Earth Resistances (1964), from memory; transmission-line recursion for the "
       "cylinder; numbers computed for this check by an independent program",
       disc_on_layers}};
}

}  // namespace dryfront
