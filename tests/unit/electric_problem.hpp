// Electric problems for the tests: everything an ElectricSolver points to, kept together.
#pragma once

#include <algorithm>
#include <limits>
#include <vector>

#include "physics/electric.hpp"
#include "random_fields.hpp"
#include "simulation/run.hpp"

namespace dryfront {

inline Case electric_case(const Electrode& electrode, const Grading& grading, double extent, FarVoltage far) {
  Case c;
  c.specimen.layers.resize(1);
  c.specimen.radius = c.specimen.depth = extent;
  c.specimen.side_voltage = c.specimen.bottom_voltage = far;
  c.electrode = electrode;
  c.grading = grading;
  return c;
}

inline FarVoltageCells outer_boundary(const Specimen& specimen, const Grid& grid) {
  const auto kind = [](FarVoltage far) {
    return far == FarVoltage::half_space  ? FarVoltageKind::half_space
           : far == FarVoltage::insulated ? FarVoltageKind::insulated
                                          : FarVoltageKind::grounded;
  };
  const bool pad = specimen.bottom_voltage == FarVoltage::pad;
  return far_voltage(grid, kind(specimen.side_voltage), kind(specimen.bottom_voltage),
                     pad ? specimen.pad_inner_radius : 0.0,
                     pad ? specimen.pad_radius : std::numeric_limits<double>::infinity());
}

// Fields, laws and a source of 1 V that a test sets as it needs.
struct ElectricProblem {
  Grid grid;
  ContactGeometry contact;
  std::vector<double> conductivity, breakdown;
  std::vector<ContactLaw> laws;
  StrikingTable striking;
  Source source;
  double crest_factor = 1;
  double breakdown_threshold = 0, strike_threshold = 0;
  ElectricSolver conduction;

  explicit ElectricProblem(const Case& c)
      : grid(case_grid(c)),
        contact(contact_geometry(grid, c.electrode)),
        conduction(grid, contact, outer_boundary(c.specimen, grid)) {
    source.kind = SourceKind::voltage;
    source.rms = 1;
  }
  ElectricProblem(const Electrode& electrode, const Grading& grading, double extent, FarVoltage far)
      : ElectricProblem(electric_case(electrode, grading, extent, far)) {}
  ElectricProblem(const ElectricProblem&) = delete;
  ElectricProblem& operator=(const ElectricProblem&) = delete;

  ElectricInput input() const {
    ElectricInput result;
    result.conductivity = conductivity;
    result.breakdown = breakdown;
    result.breakdown_threshold = breakdown_threshold;
    result.contact = laws;
    result.strike_threshold = strike_threshold;
    result.striking = &striking;
    result.source = &source;
    result.crest_factor = crest_factor;
    return result;
  }

  // From where the last call ended.
  ElectricState solved() {
    ElectricState result;
    conduction.solve(input(), result);
    return result;
  }

  // Bilinear between cell centres; beyond the outermost centres the line through the last two.
  double at(const std::vector<double>& field, double r, double z) const {
    const auto left_of = [](const std::vector<double>& centre, double x) {
      const auto above = std::upper_bound(centre.begin(), centre.end(), x) - centre.begin();
      return static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above - 1, 0, std::ssize(centre) - 2));
    };
    const std::size_t i = left_of(grid.r(), r), j = left_of(grid.z(), z);
    const double u = (r - grid.r()[i]) / (grid.r()[i + 1] - grid.r()[i]);
    const double v = (z - grid.z()[j]) / (grid.z()[j + 1] - grid.z()[j]);
    const std::size_t c = j * grid.r().size() + i, below = c + grid.r().size();
    return (1 - v) * ((1 - u) * field[c] + u * field[c + 1]) + v * ((1 - u) * field[below] + u * field[below + 1]);
  }
};

// One column of `cells` even cells: radius [m], depth [m].
// The electrode covers the top, the bottom is grounded, the side insulated: everything is in series.
struct ColumnProblem {
  Grid grid;
  ContactGeometry geometry;
  std::vector<double> conductivity, breakdown;
  std::vector<ContactLaw> contact;
  StrikingTable striking;
  Source source;
  double crest_factor = 1;
  double breakdown_threshold = 0, strike_threshold = 0;
  ElectricSolver conduction;

  ColumnProblem(int cells, double radius, double depth)
      : grid({0, radius}, even_faces(cells, depth)),
        geometry(contact_geometry(grid, covering(radius))),
        conduction(grid, geometry,
                   far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::grounded, 0,
                               std::numeric_limits<double>::infinity())) {
    source.kind = SourceKind::voltage;
    source.rms = 1;
  }
  ColumnProblem(const ColumnProblem&) = delete;
  ColumnProblem& operator=(const ColumnProblem&) = delete;

  static std::vector<double> even_faces(int cells, double depth) {
    std::vector<double> face;
    for (int k = 0; k <= cells; ++k) face.push_back(depth * k / cells);
    return face;
  }
  static Electrode covering(double radius) {
    Electrode electrode;
    electrode.radius = radius;
    return electrode;
  }

  ElectricState solved() {
    ElectricInput input;
    input.conductivity = conductivity;
    input.breakdown = breakdown;
    input.breakdown_threshold = breakdown_threshold;
    input.contact = contact;
    input.strike_threshold = strike_threshold;
    input.striking = &striking;
    input.source = &source;
    input.crest_factor = crest_factor;
    ElectricState result;
    conduction.solve(input, result);
    return result;
  }
};

}  // namespace dryfront
