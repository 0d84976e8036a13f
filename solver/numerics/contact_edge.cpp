#include "numerics/contact_edge.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

namespace dryfront {

namespace {

// Re and Im of sqrt(x + i z) on the branch that vanishes on the contact (x < 0, z = 0).
double potential_drop(double x, double z) { return std::sqrt(std::complex<double>(x, z)).real(); }
double conjugate(double x, double z) { return std::sqrt(std::complex<double>(x, std::max(z, 0.0))).imag(); }

}  // namespace

void add_rim(const Grid& grid, double radius, bool covered_inside, double reach, RimFactors& factors) {
  const double side = covered_inside ? 1 : -1;
  const auto from_rim = [&](double r) { return side * (r - radius); };
  const std::vector<double>& r = grid.r();
  const std::vector<double>& z = grid.z();
  const std::vector<double>& r_face = grid.r_face();
  const std::vector<double>& z_face = grid.z_face();
  for (std::size_t j = 0; j < z.size() && z_face[j] < reach; ++j) {
    for (std::size_t i = 0; i < r.size(); ++i) {
      const double x = from_rim(r[i]);
      if (std::hypot(x, z[j]) > reach) continue;
      const std::size_t cell = grid.index(static_cast<int>(i), static_cast<int>(j));
      const double here = potential_drop(x, z[j]);
      if (i + 1 < r.size()) {
        const double face = from_rim(r_face[i + 1]);
        const double exact = std::abs(conjugate(face, z_face[j + 1]) - conjugate(face, z_face[j]));
        const double step = std::abs(potential_drop(from_rim(r[i + 1]), z[j]) - here);
        factors.faces.push_back({cell, true, exact * (r[i + 1] - r[i]) / ((z_face[j + 1] - z_face[j]) * step)});
      }
      const double left = from_rim(r_face[i]);
      const double right = from_rim(r_face[i + 1]);
      const double width = std::abs(right - left);
      if (j + 1 < z.size()) {
        const double exact = std::abs(conjugate(right, z_face[j + 1]) - conjugate(left, z_face[j + 1]));
        const double step = std::abs(potential_drop(x, z[j + 1]) - here);
        factors.faces.push_back({cell, false, exact * (z[j + 1] - z[j]) / (width * step)});
      }
      if (j == 0 && x < 0) {
        const double exact = std::abs(conjugate(right, 0) - conjugate(left, 0));
        factors.half_cell[i] *= exact * z[0] / (width * here);
      }
    }
  }
}

void apply_factors(const RimFactors& factors, FluxOperator& op) {
  for (const FaceFactor& face : factors.faces) (face.east ? op.east : op.south)[face.cell] *= face.factor;
}

}  // namespace dryfront
