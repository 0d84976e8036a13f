// Vapour that diffuses through the gas space of tissue from where it is hot to where it is cooler, and condenses there.
#pragma once

#include <span>
#include <vector>

#include "numerics/flux.hpp"
#include "physics/contact.hpp"

namespace dryfront {

// Mass flux of saturated vapour per gradient of temperature in still air of one atmosphere,
//   D_v M_w/(R T) P/(P - p_s) dp_s/dT,   D_v = 2.13e-5 (T/273 K)^1.8 m2/s,
// D_v from memory, p_s by Antoine's equation (coefficients from memory), P its value at 100 C. From 98 C on it fades
// smoothly to nothing at 100 C, where steam would flow by its own pressure. Below 0 C as at 0 C.   [kg/(m s K)]
double vapour_diffusion(double temperature);

// Mean of vapour_diffusion between two temperatures: with it the flux between two cells is exact for a steady flux on
// an even path, however steep the law (Kirchhoff's transform). From a table of the integral.
class MeanVapourDiffusion {
 public:
  MeanVapourDiffusion();
  double between(double one, double other) const;  // [kg/(m s K)]

 private:
  double integral(double temperature) const;  // from 0 C [kg/(m s)]

  std::vector<double> diffusion_, integral_;  // at even distances from 0 C to 100 C
};

// Share of the gas space in which vapour diffuses, tau (phi_0 + 0.75 (1 - s)) min(1, s/0.1): 0.75 is the volume of the
// initial water; what has little water gives little vapour.   [-]
double vapour_share(const Tissue& tissue, double water);

// Fills east and south of `op` with the heat that vapour carries per difference of temperature: k_v = L share
// vapour_diffusion, shares of the two half cells in series. None into metal. `share` holds L share of every cell.  [W/K]
void set_vapour_conductances(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact,
                             const MeanVapourDiffusion& diffusion, std::span<const double> temperature,
                             std::span<const double> water, std::span<double> share, FluxOperator& op);

}  // namespace dryfront
