#include "studies/verification/exact_solutions.hpp"

#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace dryfront {

using std::numbers::inv_sqrtpi;
using std::numbers::pi;

double disc_potential(double r, double z, double a) {
  return 2 / pi * std::asin(2 * a / (std::hypot(r - a, z) + std::hypot(r + a, z)));
}

double ierfc(double x) { return std::exp(-x * x) * inv_sqrtpi - x * std::erfc(x); }

double root_between(const std::function<double(double)>& f, double a, double b) {
  std::uintmax_t passes = 200;
  const auto [below, above] =
      boost::math::tools::toms748_solve(f, a, b, boost::math::tools::eps_tolerance<double>(), passes);
  return 0.5 * (below + above);
}

double integral_of(const std::function<double(double)>& f, double a, double b, int parts) {
  const double width = (b - a) / parts;
  double sum = 0;
  for (int p = 0; p < parts; ++p) {
    sum += boost::math::quadrature::gauss<double, 7>::integrate(f, a + p * width, a + (p + 1) * width);
  }
  return sum;
}

double heated_slab_front(double q, double L, double k, double diffusivity, double t) {
  const double fourier = diffusivity * t / (L * L);
  double sum = 0;
  for (int n = 400; n >= 1; --n) sum += std::exp(-n * n * pi * pi * fourier) / (n * n);
  return q * L / k * (fourier + 1.0 / 3 - 2 / (pi * pi) * sum);
}

double heated_slab_back(double q, double L, double k, double diffusivity, double t) {
  const double fourier = diffusivity * t / (L * L);
  double sum = 0;
  for (int n = 400; n >= 1; --n) sum += (n % 2 == 0 ? 1 : -1) * std::exp(-n * n * pi * pi * fourier) / (n * n);
  return q * L / k * (fourier - 1.0 / 6 - 2 / (pi * pi) * sum);
}

double heated_disc_axis(double q, double a, double k, double diffusivity, double z, double t) {
  const double length = 2 * std::sqrt(diffusivity * t);
  return q * length / k * (ierfc(z / length) - ierfc(std::hypot(z, a) / length));
}

double perfused_point_source(double P, double k, double W, double rho) {
  return P * std::exp(-rho / std::sqrt(k / W)) / (2 * pi * k * rho);
}

double perfused_point_source_after(double P, double k, double W, double volumetric_heat, double rho, double t) {
  const double delta = std::sqrt(k / W);
  const double decay = std::sqrt(W * t / volumetric_heat);
  const double near = rho / (2 * std::sqrt(k * t / volumetric_heat));
  return P / (4 * pi * k * rho) *
         (std::exp(-rho / delta) * std::erfc(near - decay) + std::exp(rho / delta) * std::erfc(near + decay));
}

double perfused_ball(double Q, double a, double k, double W, double rho) {
  const double delta = std::sqrt(k / W);
  const double x = a / delta;
  const double y = rho / delta;
  if (rho <= a) return Q / W * (1 - (1 + x) * std::exp(-x) * (y > 0 ? std::sinh(y) / y : 1.0));
  return Q / W * (x * std::cosh(x) - std::sinh(x)) * std::exp(-y) / y;
}

double drying_front_lambda(const DryingFront& front) {
  const double dry = front.k_dry / front.heat_dry;
  const double wet = front.k_wet / front.heat_wet;
  const double nu = std::sqrt(dry / wet);
  const auto balance = [&](double l) {
    const double arriving =
        front.k_dry * (front.wall - front.boil) * std::exp(-l * l) / (std::sqrt(pi * dry) * std::erf(l));
    const double leaving = front.k_wet * (front.boil - front.start) * std::exp(-l * l * nu * nu) /
                           (std::sqrt(pi * wet) * std::erfc(l * nu));
    return arriving - leaving - front.latent * l * std::sqrt(dry);
  };
  return root_between(balance, 1e-6, 3);
}

double kohlrausch_temperature(double V_below, double V, double k, double sigma0, double beta, double held) {
  return held + std::expm1(beta * sigma0 * V_below * (V - V_below) / (2 * k)) / beta;
}

}  // namespace dryfront
