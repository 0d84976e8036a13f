#include "physics/surface_images.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "numerics/dense.hpp"

namespace dryfront {

namespace {

using Complex = std::complex<double>;

constexpr int depths_a_decade = 7;
constexpr int samples_a_decade = 30;
constexpr double cut_off = 1e-12;  // of the singular values that are kept

std::vector<double> geometric(double least, double greatest, int a_decade) {
  const int count = 2 + static_cast<int>(std::ceil(a_decade * std::log10(greatest / least)));
  std::vector<double> values;
  for (int k = 0; k < count; ++k) values.push_back(least * std::pow(greatest / least, k / (count - 1.0)));
  return values;
}

}  // namespace

Complex surface_kernel(const std::vector<ConductingLayer>& layers, double lambda) {
  assert(!layers.empty());
  Complex kernel = 1.0 / layers.back().conductivity;
  for (std::size_t k = layers.size() - 1; k-- > 0;) {
    const Complex below = layers[k].conductivity * kernel;
    const double t = std::tanh(lambda * layers[k].thickness);
    kernel = (below + t) / (1.0 + below * t) / layers[k].conductivity;
  }
  return kernel;
}

SurfaceImages surface_images(const std::vector<ConductingLayer>& layers) {
  const Complex top = 1.0 / layers.front().conductivity;
  SurfaceImages found{{{0.0, top}}, 0};
  if (layers.size() == 1) return found;
  double thinnest = layers.front().thickness, all = 0;
  for (std::size_t k = 0; k + 1 < layers.size(); ++k) {
    thinnest = std::min(thinnest, layers[k].thickness);
    all += layers[k].thickness;
  }
  // The first reflection comes from twice the depth of the first interface; layers of another conductivity spread the
  // others over many times the thickness.
  const std::vector<double> depths = geometric(0.7 * thinnest, 60 * all, depths_a_decade);
  const std::vector<double> lambdas = geometric(1e-3 / all, 12 / thinnest, samples_a_decade);
  DenseMatrix<double> matrix(lambdas.size() + 1, depths.size()), wanted(lambdas.size() + 1, 2);
  for (std::size_t r = 0; r < matrix.rows; ++r) {
    const double lambda = r == 0 ? 0 : lambdas[r - 1];
    const Complex rest = surface_kernel(layers, lambda) - top;
    wanted(r, 0) = rest.real();
    wanted(r, 1) = rest.imag();
    for (std::size_t k = 0; k < matrix.columns; ++k) matrix(r, k) = std::exp(-lambda * depths[k]);
  }
  const DenseMatrix<double> shares = least_squares(matrix, wanted, cut_off);
  for (std::size_t k = 0; k < depths.size(); ++k) found.images.push_back({depths[k], {shares(k, 0), shares(k, 1)}});
  double greatest = std::abs(top);
  for (std::size_t r = 0; r < matrix.rows; ++r) {
    Complex fitted = 0;
    for (std::size_t k = 0; k < matrix.columns; ++k) fitted += matrix(r, k) * found.images[k + 1].share;
    const Complex rest(wanted(r, 0), wanted(r, 1));
    greatest = std::max(greatest, std::abs(rest + top));
    found.residual = std::max(found.residual, std::abs(fitted - rest));
  }
  found.residual /= greatest;
  return found;
}

}  // namespace dryfront
