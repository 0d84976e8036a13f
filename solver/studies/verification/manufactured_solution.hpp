// A solution chosen beforehand for charge and heat together, with the sources that make it one. Generated symbolically
// (by a computer algebra program, from the expressions of T and V below): not to be edited by hand. SI, temperatures in
// C.
//   div(sigma grad V) + charge_source = 0
//   rho c dT/dt = div(k grad T) - W (T - Ta) + sigma |grad V|^2 + heat_source
// Method: P. J. Roache, Verification and Validation in Computational Science and Engineering (1998), from memory.
#pragma once
#include <cmath>
namespace dryfront::manufactured {
constexpr double R = 0.004;
constexpr double L = 0.003;
constexpr double Ta = 37.0;
constexpr double dT = 20.0;
constexpr double amp = 0.4;
constexpr double omega = 0.6;
constexpr double V0 = 20.0;
constexpr double gam = 0.25;
constexpr double sigma0 = 0.5;
constexpr double beta = 0.015;
constexpr double Tref = 37.0;
constexpr double k0 = 0.5;
constexpr double kappa = 0.0012;
constexpr double rhoc = 3780000.0;
constexpr double W = 40000.0;
constexpr double A_arr = 7.39e+39;
constexpr double Ea = 257700.0;
inline double temperature(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  return Ta + dT * (amp * std::sin(omega * t) + 1) * std::exp(-std::pow(r, 2) / std::pow(R, 2)) *
                  std::cos((1.0 / 2.0) * M_PI * z / L);
}
inline double potential(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  return V0 * (gam * std::cos(M_PI * std::pow(r, 2) / std::pow(R, 2)) + 1) * std::cos((1.0 / 2.0) * M_PI * z / L);
}
inline double conduction(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  return k0 * (kappa * (Ta - Tref +
                        dT * (amp * std::sin(omega * t) + 1) * std::exp(-std::pow(r, 2) / std::pow(R, 2)) *
                            std::cos((1.0 / 2.0) * M_PI * z / L)) +
               1);
}
inline double temperature_slope(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  const double x0 = std::pow(R, -2);
  return -2 * dT * r * x0 * (amp * std::sin(omega * t) + 1) * std::exp(-std::pow(r, 2) * x0) *
         std::cos((1.0 / 2.0) * M_PI * z / L);
}
inline double joule_heat(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  const double x0 = (1.0 / 2.0) * M_PI * z / L;
  const double x1 = std::cos(x0);
  const double x2 = std::pow(r, 2);
  const double x3 = x2 / std::pow(R, 2);
  const double x4 = M_PI * x3;
  const double x5 = std::pow(M_PI, 2) * std::pow(V0, 2);
  return sigma0 * (beta * (Ta - Tref + dT * x1 * (amp * std::sin(omega * t) + 1) * std::exp(-x3)) + 1) *
         (4 * std::pow(gam, 2) * std::pow(x1, 2) * x2 * x5 * std::pow(std::sin(x4), 2) / std::pow(R, 4) +
          (1.0 / 4.0) * x5 * std::pow(gam * std::cos(x4) + 1, 2) * std::pow(std::sin(x0), 2) / std::pow(L, 2));
}
inline double charge_source(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  const double x0 = (1.0 / 2.0) * M_PI * z / L;
  const double x1 = std::cos(x0);
  const double x2 = std::pow(R, -2);
  const double x3 = std::pow(r, 2);
  const double x4 = x2 * x3;
  const double x5 = M_PI * x4;
  const double x6 = 4 * M_PI * gam * std::sin(x5);
  const double x7 = x3 / std::pow(R, 4);
  const double x8 = dT * (amp * std::sin(omega * t) + 1) * std::exp(-x4);
  const double x9 = V0 * sigma0;
  const double x10 = beta * x8 * x9;
  const double x11 = std::pow(M_PI, 2);
  const double x12 = gam * std::cos(x5);
  const double x13 = (1.0 / 4.0) * (x12 + 1) / std::pow(L, 2);
  const double x14 = x1 * x9 * (beta * (Ta - Tref + x1 * x8) + 1);
  const double x15 = x11 * x14;
  return -std::pow(x1, 2) * x10 * x6 * x7 - x10 * x11 * x13 * std::pow(std::sin(x0), 2) + 4 * x12 * x15 * x7 +
         x13 * x15 + x14 * x2 * x6;
}
inline double heat_source(double r, double z, double t) {
  (void)r;
  (void)z;
  (void)t;
  const double x0 = omega * t;
  const double x1 = (1.0 / 2.0) * M_PI * z / L;
  const double x2 = std::cos(x1);
  const double x3 = std::pow(R, -2);
  const double x4 = std::pow(r, 2);
  const double x5 = x3 * x4;
  const double x6 = std::exp(-x5);
  const double x7 = amp * std::sin(x0);
  const double x8 = x7 + 1;
  const double x9 = std::pow(M_PI, 2);
  const double x10 = std::pow(L, -2);
  const double x11 = (1.0 / 4.0) * x10 * std::pow(std::sin(x1), 2);
  const double x12 = std::pow(dT, 2) * k0 * kappa * std::pow(x8, 2) * std::exp(-2 * x5);
  const double x13 = 4 * x4 / std::pow(R, 4);
  const double x14 = x13 * std::pow(x2, 2);
  const double x15 = dT * x2;
  const double x16 = x15 * x6 * x8;
  const double x17 = Ta - Tref + x16;
  const double x18 = kappa * x17 + 1;
  const double x19 = k0 * x18;
  const double x20 = 2 * x15;
  const double x21 = M_PI * x5;
  const double x22 = std::pow(V0, 2) * x9;
  return W * dT * x2 * x6 * x8 + amp * dT * omega * rhoc * x2 * x6 * std::cos(x0) +
         (1.0 / 4.0) * dT * k0 * x10 * x18 * x2 * x6 * x8 * x9 + 2 * dT * k0 * x18 * x2 * x3 * x6 * x8 -
         sigma0 * (beta * x17 + 1) *
             (std::pow(gam, 2) * x14 * x22 * std::pow(std::sin(x21), 2) +
              x11 * x22 * std::pow(gam * std::cos(x21) + 1, 2)) -
         x11 * x12 * x9 - x12 * x14 - x13 * x16 * x19 - x19 * x3 * x6 * (-x20 * x7 - x20);
}
}  // namespace dryfront::manufactured
