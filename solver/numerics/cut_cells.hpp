// A body around the axis or plane that cuts the cells of a grid: how far its surface is from the centres of the cells
// around it, and what it leaves of their volumes.
#pragma once

#include <functional>
#include <vector>

#include "numerics/grid.hpp"

namespace dryfront {

// The body, by its surface.
struct CutBody {
  std::function<bool(double r, double z)> inside;
  std::function<double(double z)> radius_at;               // of the surface at a depth that it crosses [m]
  std::function<double(double r)> depth_at;                // of the surface at a radius that it crosses [m]
  std::function<double(double r, double z)> radial_share;  // |n_r| of the normal at a point of the surface [-]
};

// From the centre of a cell outside the body along r or z to the body's surface, where the next centre on that side, or
// the point of the surface z = 0 above the first row, is inside.
//
//      inside        cell           The flux through the cell's whole face over the true distance: a symmetric scheme
//        x     |      o      |      of second order (Gibou, Fedkiw, Cheng and Kang, J. Comput. Phys. 176 (2002) 205, as
//              |<---->|             described in Ng, Chen, Min and Gibou, J. Sci. Comput. 41 (2009) 300, abstract)
//           surface, distance
struct CutLink {
  int i = 0, j = 0;      // the cell
  int di = 0, dj = 0;    // one step away from the body
  double distance = 0;   // at least least_link_share of that between the two centres [m]
  double half_cell = 0;  // conductance at unit coefficient: area half way over distance [m]
  // The part of the body's surface that this link stands for: the face's area, at the surface, times the normal's
  // component along the link. Over all links this is the body's area if that meets z = 0 on a face of the grid: to
  // second order, to 3/2 where the surface turns level or vertical   [m2]
  double surface = 0;
};
inline constexpr double least_link_share = 1e-3;

std::vector<CutLink> cut_links(const Grid& grid, const CutBody& body);

// Shares of the cells' volumes left by a body that begins at z = 0 around the axis or plane and grows no wider with
// depth. What it leaves of cells whose centre it holds goes to their neighbours outside, in proportion to how far the
// links of those reach beyond their own cells, so that the volumes outside add up exactly; cells inside count as whole.
// In front of a plane this makes every volume the one that the links' dissipation belongs to.   [-]
std::vector<double> volume_shares(const Grid& grid, const CutBody& body);

}  // namespace dryfront
