#include "numerics/grid.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace dryfront {

namespace {

// Integral of 1/size over [from, to] where the size grows linearly with the distance from the nearest mark, found with
// the trapezoidal rule on pieces on which the size changes by a few per cent at most.
struct SizeLaw {
  std::span<const double> marks;
  const Grading& grading;

  double size(double x) const {
    double distance = 1e300;
    for (double mark : marks) distance = std::min(distance, std::abs(x - mark));
    if (marks.empty()) return grading.coarse;
    return std::min(grading.coarse, grading.fine + (grading.growth - 1) * distance);
  }
};

void append_interval(std::vector<double>& faces, double from, double to, const SizeLaw& law) {
  constexpr int pieces = 4096;
  std::vector<double> count(pieces + 1, 0.0);
  const double dx = (to - from) / pieces;
  for (int p = 0; p < pieces; ++p) {
    const double middle = from + (p + 0.5) * dx;
    count[static_cast<std::size_t>(p) + 1] = count[static_cast<std::size_t>(p)] + dx / law.size(middle);
  }
  // The tiny margin keeps an exact whole number of cells from becoming one more through round-off.
  const int cells = std::max(1, static_cast<int>(std::ceil(count.back() - 1e-9)));
  for (int k = 1; k < cells; ++k) {
    const double wanted = count.back() * k / cells;
    const auto above = std::upper_bound(count.begin(), count.end(), wanted);
    const auto p = static_cast<std::size_t>(above - count.begin()) - 1;
    const double share = (wanted - count[p]) / (count[p + 1] - count[p]);
    faces.push_back(from + (static_cast<double>(p) + share) * dx);
  }
  faces.push_back(to);
}

void require_increasing(const std::vector<double>& face, const char* what) {
  if (face.size() < 2) throw std::invalid_argument(std::string(what) + ": a grid needs at least two faces");
  for (std::size_t k = 1; k < face.size(); ++k) {
    if (!(face[k] > face[k - 1])) throw std::invalid_argument(std::string(what) + ": faces must increase strictly");
  }
}

}  // namespace

std::vector<double> graded_faces(double begin, double end, std::span<const double> breakpoints,
                                 std::span<const double> marks, const Grading& grading) {
  if (!(begin < end)) throw std::invalid_argument("graded_faces: begin must lie before end");
  if (!(grading.fine > 0) || !(grading.coarse >= grading.fine) || !(grading.growth >= 1)) {
    throw std::invalid_argument("graded_faces: needs 0 < fine <= coarse and growth >= 1");
  }
  std::vector<double> stops(breakpoints.begin(), breakpoints.end());
  stops.push_back(end);
  std::sort(stops.begin(), stops.end());
  const SizeLaw law{marks, grading};
  std::vector<double> faces{begin};
  for (double stop : stops) {
    if (stop > faces.back() && stop <= end) append_interval(faces, faces.back(), stop, law);
  }
  return faces;
}

Grid::Grid(std::vector<double> r_face, std::vector<double> z_face)
    : r_face_(std::move(r_face)), z_face_(std::move(z_face)) {
  require_increasing(r_face_, "r");
  require_increasing(z_face_, "z");
  if (r_face_.front() != 0) throw std::invalid_argument("r: the first face must lie on the axis r = 0");
  columns_ = static_cast<int>(r_face_.size()) - 1;
  rows_ = static_cast<int>(z_face_.size()) - 1;
  for (double radius : r_face_) circumference_.push_back(2 * std::numbers::pi * radius);
  for (std::size_t i = 0; i + 1 < r_face_.size(); ++i) {
    r_.push_back(0.5 * (r_face_[i] + r_face_[i + 1]));
    ring_area_.push_back(std::numbers::pi * (r_face_[i + 1] - r_face_[i]) * (r_face_[i + 1] + r_face_[i]));
  }
  for (std::size_t j = 0; j + 1 < z_face_.size(); ++j) z_.push_back(0.5 * (z_face_[j] + z_face_[j + 1]));
}

}  // namespace dryfront
