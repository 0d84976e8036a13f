// Closed-form solutions the checks compare with. SI, temperatures in degrees Celsius unless they are rises.
#pragma once

#include <functional>

namespace dryfront {

// Potential of a disc of radius a at 1 V on an insulated half-space (H. Weber, J. reine angew. Math. 75 (1873) 75). [-]
double disc_potential(double r, double z, double a);

// Integral of the complementary error function, ierfc(x) = e^{-x^2}/sqrt(pi) - x erfc(x)   [-]
double ierfc(double x);

// Root of a function that changes sign between a and b, to round-off (TOMS 748; Alefeld, Potra and Shi 1995).
double root_between(const std::function<double(double)>& f, double a, double b);

// Gauss-Legendre integral with seven nodes in each of `parts` equal parts.
double integral_of(const std::function<double(double)>& f, double a, double b, int parts);

// Slab of thickness L, heated at z = 0 with q from t = 0, insulated behind: rise at z = 0 and at z = L
// (Carslaw and Jaeger 1959, sec. 3.8).   [K]
double heated_slab_front(double q, double L, double k, double diffusivity, double t);
double heated_slab_back(double q, double L, double k, double diffusivity, double t);

// Rise on the axis under a disc of radius a on a half-space, heated uniformly with q from t = 0
// (Carslaw and Jaeger 1959, sec. 10.5).   [K]
double heated_disc_axis(double q, double a, double k, double diffusivity, double z, double t);

// Rise at distance rho from a point source of P [W] on an insulated surface in perfused tissue, steady and t after it
// was switched on; W = perfusion [W/(m3 K)] (Carslaw and Jaeger 1959, sec. 10.4, with a sink).   [K]
double perfused_point_source(double P, double k, double W, double rho);
double perfused_point_source_after(double P, double k, double W, double volumetric_heat, double rho, double t);

// Steady rise at distance rho from the centre of a ball of radius a heated with Q [W/m3] in perfused tissue.   [K]
double perfused_ball(double Q, double a, double k, double W, double rho);

// Similarity variable of a drying front, s = 2 lambda sqrt(al_dry t), behind a wall held at `wall`; wet tissue at
// `start` (at T_b: one phase) (Carslaw and Jaeger 1959, sec. 11.2).   [-]
struct DryingFront {
  double k_dry, heat_dry, k_wet, heat_wet;  // [W/(m K)], [J/(m3 K)]
  double wall, boil, start;                 // [C]
  double latent;                            // of the water in a volume [J/m3]
};
double drying_front_lambda(const DryingFront& front);

// Greatest temperature between two electrodes at the same temperature `held` and V apart, whatever the geometry:
// int k/sigma dT = V^2/8 with sigma = sigma0 (1 + beta (T - held)) (Kohlrausch, Ann. Phys. 306 (1900) 132).   [C]
double kohlrausch_temperature(double V_below, double V, double k, double sigma0, double beta, double held);

}  // namespace dryfront
