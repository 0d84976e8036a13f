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

// Gas space by volume, phi_0 + 0.75 (1 - s), 0.75 being the volume of the initial water   [-]
double gas_space(const Tissue& tissue, double water);
// What has little water gives little vapour, min(1, s/0.1)   [-]
double gives_vapour(double water);

// Fills east and south of `op` with the heat that vapour carries per difference of temperature, L tau gas_space
// gives_vapour times its mean diffusion. Gas space is that of the cooler cell, giving that of the hotter one: the flow
// falls with the water of the taker and rises with that of the giver, so that no pattern grows from cell to cell (a
// monotone flux, first order in the cells' size where the water varies). tau of both half cells in series, `tortuosity`
// per cell. None into metal.   [W/K]
void set_vapour_conductances(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact,
                             const MeanVapourDiffusion& diffusion, std::span<const double> temperature,
                             std::span<const double> water, std::span<const double> tortuosity, FluxOperator& op);

}  // namespace dryfront
