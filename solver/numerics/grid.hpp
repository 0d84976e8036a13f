// The graded (r, z) grid: faces, centres, areas, volumes. Nobody else writes a radius weight.
// About an axis r is the radius. About a plane it is the distance from that plane, and all areas and volumes are those
// of both sides of it over the length along it.
//
//        r_face[i]   r_face[i+1]
//            |           |
//   z_face[j] -----------+----> r        index(i, j) = j * columns + i   (r runs fastest)
//            |  (i, j)   |               row j = 0 touches the surface z = 0, z points into the tissue
// z_face[j+1] -----------+               column i = 0 touches the axis or plane r = 0
//            v z
#pragma once

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "numerics/enumeration.hpp"

namespace dryfront {

enum class Symmetry { axis, plane };
constexpr auto enumerators(Symmetry) {
  return enumeration<Symmetry>({{Symmetry::axis, "axis"}, {Symmetry::plane, "plane"}});
}

// How finely a coordinate is cut: the wanted cell size at a distance d from the nearest mark and x from the nearest
// edge is   min(coarse, fine + (growth - 1) d, edge_share fine + edge_rise (growth - 1) x).
// At an edge the solution is singular (the rim of a contact) or has a thin layer (its face). Cells that do not grow
// have no edges.
struct Grading {
  double fine = 3.5e-5;  // [m]
  double growth = 1.1;   // [-]
  double coarse = 2e-3;  // [m]
};
inline constexpr double edge_share = 0.25;
inline constexpr double edge_rise = 5;

// Face positions from `begin` to `end` [m]. Every `breakpoint` becomes a face exactly; the cells are finest at the
// `marks` and still finer at the `edges`. Between two breakpoints the faces cut the integral of 1/size into equal
// parts, so that halving fine, coarse and growth - 1 together halves every cell.
// Throws std::invalid_argument when begin >= end or a size is not positive.
std::vector<double> graded_faces(double begin, double end, std::span<const double> breakpoints,
                                 std::span<const double> marks, const Grading& grading,
                                 std::span<const double> edges = {});

class Grid {
 public:
  // About an axis. r_face starts at 0, both strictly increasing, at least two faces each [m]; std::invalid_argument
  // otherwise.
  Grid(std::vector<double> r_face, std::vector<double> z_face);
  // About a plane, `length` [m] along it, more than 0. The same in every section: what happens at its two ends is not
  // known here.
  Grid(std::vector<double> r_face, std::vector<double> z_face, double length);

  Symmetry symmetry() const { return symmetry_; }
  double length() const { return length_; }  // along the plane; 0 about an axis [m]

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  std::size_t cells() const { return static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_); }
  std::size_t index(int i, int j) const {
    return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
  }

  const std::vector<double>& r_face() const { return r_face_; }  // [m], columns + 1
  const std::vector<double>& z_face() const { return z_face_; }  // [m], rows + 1
  const std::vector<double>& r() const { return r_; }            // cell centres [m], columns
  const std::vector<double>& z() const { return z_; }            // cell centres [m], rows

  double width(int i) const { return r_face_[idx(i + 1)] - r_face_[idx(i)]; }   // cell size in r [m]
  double height(int j) const { return z_face_[idx(j + 1)] - z_face_[idx(j)]; }  // cell size in z [m]
  // Area of the faces r = r_face[i] beside row j: a ring's, or both sides' of a plane [m2].
  double radial_area(int i, int j) const { return circumference_[idx(i)] * height(j); }
  // Area of a face z = const of column i, a ring's or both sides' [m2].
  double axial_area(int i) const { return ring_area_[idx(i)]; }
  // The same at any radius, and between any two.
  double radial_area_at(double r, int j) const;
  double axial_area_between(double from, double to) const;
  // Of the cell, or of what is solved for in it [m3].
  double volume(int i, int j) const {
    const double whole = ring_area_[idx(i)] * height(j);
    return volume_share_.empty() ? whole : volume_share_[index(i, j)] * whole;
  }
  // Shares of the cells' volumes, one per cell, where a body cuts some of them (cut_cells.hpp) [-].
  void set_volume_shares(std::vector<double> share) { volume_share_ = std::move(share); }

 private:
  double circumference_at(double r) const;
  static std::size_t idx(int k) { return static_cast<std::size_t>(k); }
  void set_up();  // what both symmetries have: sizes checked, centres, areas
  Symmetry symmetry_ = Symmetry::axis;
  double length_ = 0;
  int columns_ = 0;
  int rows_ = 0;
  std::vector<double> r_face_, z_face_, r_, z_;
  std::vector<double> circumference_;  // 2 pi r_face, or twice the length [m]
  std::vector<double> ring_area_;      // [m2]
  std::vector<double> volume_share_;   // per cell, or empty: 1 [-]
};

}  // namespace dryfront
