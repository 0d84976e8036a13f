#include "numerics/grid.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

namespace dryfront {

namespace {

// A stretch of the line on which the wanted cell size changes linearly: size at x = size + slope (x - begin).
struct Stretch {
  double begin;
  double end;
  double size;
  double slope;

  // Wanted number of cells: the integral of 1/size.
  double cells() const {
    const double length = end - begin;
    return std::abs(slope) * length < 1e-12 * size ? length / size : std::log1p(slope * length / size) / slope;
  }
  // The place that so many cells reach to.
  double after(double count) const {
    return begin + (slope == 0 ? count * size : size * std::expm1(slope * count) / slope);
  }
};

double distance_from(std::span<const double> marks, double x) {
  double distance = std::numeric_limits<double>::infinity();
  for (double mark : marks) distance = std::min(distance, std::abs(x - mark));
  return distance;
}

// The wanted sizes about marks of one kind, size at the mark and rise with the distance.
struct Cone {
  std::vector<double> marks;  // in order
  double size;
  double rise;

  double at(double x) const {
    return marks.empty() ? HUGE_VAL : size + (rise > 0 ? rise * distance_from(marks, x) : 0);
  }
  // Where it has grown to a size.
  double reach(double grown) const { return rise > 0 ? (grown - size) / rise : HUGE_VAL; }
};

Cone cone(std::span<const double> marks, double size, double rise) {
  Cone cone{{marks.begin(), marks.end()}, size, rise};
  std::sort(cone.marks.begin(), cone.marks.end());
  return cone;
}

// The wanted size between two places, see Grading.
std::vector<Stretch> stretches_between(double from, double to, std::span<const double> marks, const Grading& grading,
                                       std::span<const double> edges) {
  const double rise = grading.growth - 1;
  const Cone around_marks = cone(marks, grading.fine, rise);
  const Cone around_edges =
      cone(rise > 0 ? edges : std::span<const double>(), edge_share * grading.fine, edge_rise * rise);
  std::vector<double> place{from, to};
  const auto add = [&](double x) {
    if (x > from && x < to) place.push_back(x);
  };
  for (const Cone* cone : {&around_marks, &around_edges}) {
    const double reach = cone->reach(grading.coarse);
    for (std::size_t k = 0; k < cone->marks.size(); ++k) {
      const double mark = cone->marks[k];
      for (const double x : {mark, mark - reach, mark + reach}) add(x);
      if (k > 0) add(0.5 * (cone->marks[k - 1] + mark));
    }
  }
  for (const double edge : around_edges.marks) {
    for (const double mark : around_marks.marks) {
      for (const double sloping : {-around_edges.rise, around_edges.rise}) {
        for (const double less : {-rise, rise}) {  // where one side of the one crosses one side of the other
          add((around_marks.size - around_edges.size + sloping * edge - less * mark) / (sloping - less));
        }
      }
    }
  }
  std::sort(place.begin(), place.end());
  const auto size_at = [&](double x) { return std::min({grading.coarse, around_marks.at(x), around_edges.at(x)}); };
  std::vector<Stretch> stretches;
  for (std::size_t k = 0; k + 1 < place.size(); ++k) {
    if (!(place[k + 1] > place[k])) continue;
    const double begins = size_at(place[k]);
    stretches.push_back({place[k], place[k + 1], begins, (size_at(place[k + 1]) - begins) / (place[k + 1] - place[k])});
  }
  return stretches;
}

void append_interval(std::vector<double>& faces, double from, double to, std::span<const double> marks,
                     const Grading& grading, std::span<const double> edges) {
  const std::vector<Stretch> stretches = stretches_between(from, to, marks, grading, edges);
  double total = 0;
  for (const Stretch& stretch : stretches) total += stretch.cells();
  // The tiny margin keeps an exact whole number of cells from becoming one more through round-off.
  const int cells = std::max(1, static_cast<int>(std::ceil(total - 1e-9)));
  auto stretch = stretches.begin();
  double before = 0;
  for (int k = 1; k < cells; ++k) {
    const double wanted = total * k / cells;
    while (wanted > before + stretch->cells() && stretch + 1 != stretches.end()) {
      before += stretch->cells();
      ++stretch;
    }
    faces.push_back(stretch->after(wanted - before));
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
                                 std::span<const double> marks, const Grading& grading, std::span<const double> edges) {
  if (!(begin < end)) throw std::invalid_argument("graded_faces: begin must lie before end");
  if (!(grading.fine > 0) || !(grading.coarse >= grading.fine) || !(grading.growth >= 1)) {
    throw std::invalid_argument("graded_faces: needs 0 < fine <= coarse and growth >= 1");
  }
  std::vector<double> stops(breakpoints.begin(), breakpoints.end());
  stops.push_back(end);
  std::sort(stops.begin(), stops.end());
  std::vector<double> faces{begin};
  for (double stop : stops) {
    if (stop > faces.back() && stop <= end) append_interval(faces, faces.back(), stop, marks, grading, edges);
  }
  return faces;
}

Grid::Grid(std::vector<double> r_face, std::vector<double> z_face)
    : r_face_(std::move(r_face)), z_face_(std::move(z_face)) {
  set_up();
}

Grid::Grid(std::vector<double> r_face, std::vector<double> z_face, double length)
    : symmetry_(Symmetry::plane), length_(length), r_face_(std::move(r_face)), z_face_(std::move(z_face)) {
  if (!(length > 0)) throw std::invalid_argument("a grid about a plane needs a length > 0 along it");
  set_up();
}

void Grid::set_up() {
  require_increasing(r_face_, "r");
  require_increasing(z_face_, "z");
  if (r_face_.front() != 0) throw std::invalid_argument("r: the first face must lie on the axis or plane r = 0");
  columns_ = static_cast<int>(r_face_.size()) - 1;
  rows_ = static_cast<int>(z_face_.size()) - 1;
  for (double r : r_face_) circumference_.push_back(circumference_at(r));
  for (std::size_t i = 0; i + 1 < r_face_.size(); ++i) {
    r_.push_back(0.5 * (r_face_[i] + r_face_[i + 1]));
    ring_area_.push_back(axial_area_between(r_face_[i], r_face_[i + 1]));
  }
  for (std::size_t j = 0; j + 1 < z_face_.size(); ++j) z_.push_back(0.5 * (z_face_[j] + z_face_[j + 1]));
}

double Grid::circumference_at(double r) const {
  return symmetry_ == Symmetry::plane ? 2 * length_ : 2 * std::numbers::pi * r;
}

double Grid::radial_area_at(double r, int j) const { return circumference_at(r) * height(j); }

double Grid::axial_area_between(double from, double to) const {
  return symmetry_ == Symmetry::plane ? 2 * length_ * (to - from) : std::numbers::pi * (to - from) * (to + from);
}

}  // namespace dryfront
