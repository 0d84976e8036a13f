#include "numerics/cut_cells.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cassert>
#include <cmath>

namespace dryfront {

namespace {

std::size_t at(int k) { return static_cast<std::size_t>(k); }

class Links {
 public:
  Links(const Grid& grid, const CutBody& body) : grid_(grid), body_(body) {}

  std::vector<CutLink> all() {
    for (int j = 0; j < grid_.rows(); ++j) {
      for (int i = 0; i < grid_.columns(); ++i) {
        if (!inside(i, j)) add_links_of(i, j);
      }
    }
    return std::move(links_);
  }

 private:
  bool inside(int i, int j) const { return body_.inside(grid_.r()[at(i)], grid_.z()[at(j)]); }

  void add_links_of(int i, int j) {
    if (j == 0) {
      if (body_.inside(grid_.r()[at(i)], 0)) along_z(i, j, 0, 1);
    } else if (inside(i, j - 1)) {
      along_z(i, j, grid_.z()[at(j - 1)], 1);
    }
    if (i > 0 && inside(i - 1, j)) along_r(i, j, grid_.r()[at(i - 1)], 1);
    if (j + 1 < grid_.rows() && inside(i, j + 1)) along_z(i, j, grid_.z()[at(j + 1)], -1);
    if (i + 1 < grid_.columns() && inside(i + 1, j)) along_r(i, j, grid_.r()[at(i + 1)], -1);
  }

  // From the centre of (i, j) to the surface before the place `beyond`, which is inside.
  void along_z(int i, int j, double beyond, int step) {
    const double r = grid_.r()[at(i)], z = grid_.z()[at(j)];
    const double depth = body_.depth_at(r);
    const double distance = bounded(std::abs(z - depth), std::abs(z - beyond));
    const double normal = std::sqrt(std::max(0.0, 1 - square(body_.radial_share(r, depth))));
    const double area = grid_.axial_area(i);
    links_.push_back({i, j, 0, step, distance, area / distance, area * normal});
  }

  void along_r(int i, int j, double beyond, int step) {
    const double r = grid_.r()[at(i)], z = grid_.z()[at(j)];
    const double radius = body_.radius_at(z);
    const double distance = bounded(std::abs(r - radius), std::abs(r - beyond));
    links_.push_back({i, j, step, 0, distance, grid_.radial_area_at(0.5 * (r + radius), j) / distance,
                      grid_.radial_area_at(radius, j) * body_.radial_share(radius, z)});
  }

  static double square(double x) { return x * x; }
  static double bounded(double distance, double whole) { return std::clamp(distance, least_link_share * whole, whole); }

  const Grid& grid_;
  const CutBody& body_;
  std::vector<CutLink> links_;
};

// The share of a cell outside the body. Between the depths at which the surface passes the cell's radii the rest of
// every layer of the cell is a smooth function of its depth.
double share_outside(const Grid& grid, const CutBody& body, int i, int j) {
  const double inner = grid.r_face()[at(i)], outer = grid.r_face()[at(i + 1)];
  const double top = grid.z_face()[at(j)], bottom = grid.z_face()[at(j + 1)];
  if (!body.inside(inner, top)) return 1;
  if (body.inside(outer, bottom)) return 0;
  const auto passes = [&](double r) {
    return body.inside(r, top) ? (body.inside(r, bottom) ? bottom : std::clamp(body.depth_at(r), top, bottom)) : top;
  };
  const double from = passes(outer), to = passes(inner);  // above the body fills the cell, below it leaves it free
  const auto layer = [&](double z) {
    return grid.axial_area_between(std::clamp(body.radius_at(z), inner, outer), outer);
  };
  double free = (bottom - to) * grid.axial_area(i);
  if (to > from) free += boost::math::quadrature::gauss<double, 15>::integrate(layer, from, to);
  return free / (grid.axial_area(i) * grid.height(j));
}

struct Receiver {
  std::size_t cell = 0;
  double volume = 0, weight = 0;
};

}  // namespace

std::vector<CutLink> cut_links(const Grid& grid, const CutBody& body) { return Links(grid, body).all(); }

std::vector<double> volume_shares(const Grid& grid, const CutBody& body) {
  std::vector<double> share(grid.cells(), 1.0);
  std::vector<double> reach_r(grid.cells(), 0.0), reach_z(grid.cells(), 0.0);  // of links beyond their own cells
  for (const CutLink& link : cut_links(grid, body)) {
    const std::size_t cell = grid.index(link.i, link.j);
    if (link.di != 0) reach_r[cell] = std::max(0.0, link.distance / grid.width(link.i) - 0.5);
    if (link.dj != 0) reach_z[cell] = std::max(0.0, link.distance / grid.height(link.j) - 0.5);
  }
  const auto whole = [&](int i, int j) { return grid.axial_area(i) * grid.height(j); };
  for (int j = 0; j < grid.rows() && body.inside(0, grid.z_face()[at(j)]); ++j) {
    for (int i = 0; i < grid.columns() && body.inside(grid.r_face()[at(i)], grid.z_face()[at(j)]); ++i) {
      const double left = share_outside(grid, body, i, j);
      if (!body.inside(grid.r()[at(i)], grid.z()[at(j)])) {
        share[grid.index(i, j)] += left - 1;
        continue;
      }
      if (left <= 0) continue;
      std::vector<Receiver> receivers;
      const auto offer = [&](int to_i, int to_j, double weight) {
        if (to_i >= grid.columns() || to_j >= grid.rows()) return;
        if (body.inside(grid.r()[at(to_i)], grid.z()[at(to_j)])) return;
        receivers.push_back({grid.index(to_i, to_j), whole(to_i, to_j), weight});
      };
      if (i + 1 < grid.columns()) offer(i + 1, j, reach_r[grid.index(i + 1, j)]);
      if (j + 1 < grid.rows()) offer(i, j + 1, reach_z[grid.index(i, j + 1)]);
      if (receivers.empty()) offer(i + 1, j + 1, 1);
      double weights = 0;
      for (const Receiver& receiver : receivers) weights += receiver.weight;
      for (const Receiver& receiver : receivers) {
        const double part = weights > 0 ? receiver.weight / weights : 1.0 / static_cast<double>(receivers.size());
        share[receiver.cell] += part * left * whole(i, j) / receiver.volume;
      }
    }
  }
  return share;
}

}  // namespace dryfront
