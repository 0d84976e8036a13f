// The potential on the surface of layered tissue of a current that enters there, by images.
#pragma once

#include <complex>
#include <vector>

namespace dryfront {

// A layer at one frequency; the last one is endless and its thickness is not read.
struct ConductingLayer {
  double thickness = 0;               // [m]
  std::complex<double> conductivity;  // sigma + i omega eps [S/m]
};

// K of the surface: a current density that varies as J_0(lambda r) there raises V = K(lambda) J/lambda. From the bottom
//   K_n = 1/kappa_n,   K_i = (1/kappa_i) (kappa_i K_(i+1) + tanh(lambda h_i))/(1 + kappa_i K_(i+1) tanh(lambda h_i))
// (separation of variables in layers; elementary).   [ohm m]
std::complex<double> surface_kernel(const std::vector<ConductingLayer>& layers, double lambda);

// An image below the surface: a share of the current at a depth below the point where it enters.
struct SurfaceImage {
  double depth = 0;            // [m]
  std::complex<double> share;  // [ohm m]
};

// The potential of a current I that enters at a point of the surface,
//   V(r) = I/(2 pi) int K(lambda) J_0(lambda r) d lambda = I/(2 pi) sum_k share_k/sqrt(r^2 + depth_k^2),
// since int e^(-lambda d) J_0(lambda r) d lambda = 1/sqrt(r^2 + d^2): the first image lies in the surface with the
// share 1/kappa_1, the others are fitted to K on depths that grow geometrically, by least squares.
struct SurfaceImages {
  std::vector<SurfaceImage> images;
  double residual = 0;  // of the fit, greatest, of the greatest |K| [-]
};
SurfaceImages surface_images(const std::vector<ConductingLayer>& layers);

}  // namespace dryfront
