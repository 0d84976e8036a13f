// The shape of the electrode, all that follows from it and nothing else: what is metal, how large the face and the
// piece of metal are, where the grid has to be fine. A new shape is a row of its enumeration and a case in
// every function here, which the compiler asks for.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "numerics/cut_cells.hpp"
#include "numerics/grid.hpp"
#include "physics/contact_parameters.hpp"

namespace dryfront {

// What the third direction is where it makes a difference: turned about the axis, or drawn out on both sides of the
// plane over the length along it, without ends.
struct ThirdDirection {
  Symmetry symmetry = Symmetry::axis;
  double length = 0;  // along the plane [m]
};

// Whether the face lies on the surface z = 0, with a rim, and no tissue is displaced.
bool is_flat(ElectrodeShape shape);

// Whether a point of the specimen is metal; of a flat face none is.
bool inside_metal(const Electrode& electrode, double r, double z);

// The surface of the metal in the specimen; of an electrode that displaces tissue.
CutBody metal_body(const Electrode& electrode);
// The grid with the volumes that the metal leaves.
Grid without_metal(Grid grid, const Electrode& electrode);
// Where the tissue of every column begins [m]
std::vector<double> tissue_begins(const Grid& grid, const Electrode& electrode);

// The sizes that a shape has, each with the words for it, in the order in which they are said [m]
std::vector<std::pair<std::string_view, double>> electrode_sizes(const Electrode& electrode, Symmetry symmetry);

// A line in the half plane r >= 0, from the axis or plane outwards [m]
struct ProfileLine {
  std::vector<double> r, z;
};
// The face, where metal touches tissue or would without a gap: what is drawn, and nothing is computed with it.
ProfileLine face_line(const Electrode& electrode);
// The metal's side from the end of the face, which it holds, on to where it goes straight up. Not solved for.
ProfileLine side_line(const Electrode& electrode);

// Beside the end of the face: how far the metal is from the free surface at the distance x from the contact's edge, and
// where it is that far.   [m]
//   disc, ring   a quarter circle about a sharp edge, pi x/2; of a rounded one of radius rho, that begins where the
//                face ends, the height rho - sqrt(rho^2 - x^2) up to x = rho and rho + pi (x - rho)/2 beyond
//   rod          a quarter circle about the line where its wall leaves the tissue, pi x/2
//   dome         the height of its sphere; infinite beyond its radius
double profile_gap(const Electrode& electrode, double distance);
double profile_distance(const Electrode& electrode, double gap);

// Area that touches the tissue, of all sides:
//             about an axis                  about a plane, over its length
//   disc      pi a^2                         2 a
//   ring      pi (a^2 - b^2)                 2 (a - b)
//   dome      2 pi a p (spherical cap)       2 a acos(1 - p/a)
//   rod       pi a^2 + 2 pi a l              2 (a + l)
// [m2]
double face_area(const Electrode& electrode, const ThirdDirection& third);

// Volume of the piece of metal: a plate of `plate_thickness` behind a disc or ring, the whole sphere or cylinder of a
// dome, what is inserted of a rod [m3]
inline constexpr double plate_thickness = 3e-3;  // [m], assumed
double metal_volume(const Electrode& electrode, const ThirdDirection& third);

// Heat capacity of the metal and of the part of the shaft that warms up with it: stainless steel, 7900 kg/m3 times
// 500 J/(kg K) (handbook values, from memory), and 10 mm of a shaft of 2.4 mm (common practice, no source)   [J/K]
double metal_heat_capacity(const Electrode& electrode, const ThirdDirection& third);
// What the electrode is given, or that of its metal where it is given none   [J/K]
double heat_capacity(const Electrode& electrode, const ThirdDirection& third);

// Where faces of the grid have to lie (stops), from where cells may grow (marks) and where they have to be finest
// (edges: the ends of the face, where the current crowds, and the face as far as it is flat)   [m]
struct ElectrodeMarks {
  std::vector<double> r_stops, r_marks, z_stops, z_marks;
  std::vector<double> r_edges, z_edges;
};
ElectrodeMarks electrode_marks(const Electrode& electrode);

}  // namespace dryfront
