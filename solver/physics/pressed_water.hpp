// Water that heated tissue presses out: what its shrinking solid still holds, and the way to the surface.
#pragma once

#include <span>
#include <vector>

#include "numerics/flux.hpp"
#include "physics/contact.hpp"

namespace dryfront {

// s_eq(T), the water that the solid still holds once it has come to rest at a temperature:
//   s_eq = 1 - loss90/w (1 - q(T))/(1 - q(90 C)),   q = [C/(1 - C)]/[C0/(1 - C0)],   C0 = C far below 52 C
//   C = 0.745 - 0.345/(1 + 30 exp(-0.25 (T - 52)))
// C is the equilibrium water content by mass of meat (constants read in public code that cites R. van der Sman, AIChE
// J. 53 (2007) 2986); loss90 is the share of the mass that tissue has lost at 90 C, w its water_fraction. One at 37 C,
// falling throughout.   [-]
double equilibrium_water(double temperature, double loss_at_90, double water_fraction);

// The flux  -W0 D grad(s - s_eq(T))  between cells, and out of the tissue at the contact and the free surface, where
// s = s_eq: there it only goes outwards, since what has left is gone. D = K E/mu, permeability times stiffness over
// viscosity, of a swelling solid that Darcy's flow leaves (van der Sman 2007, as above). s_eq is that of the present
// temperature: tissue that cools draws water back from its neighbours.
class PressedWater {
 public:
  //   diffusivity   D [m2/s]
  //   loss_at_90    share of the mass that equilibrium takes at 90 C [-]
  PressedWater(const Grid& grid, const TissueRows& rows, const ContactGeometry& contact, double diffusivity,
               double loss_at_90);

  // For the flow of a step, whose temperatures in its middle are these.
  void set_temperature(std::span<const double> temperature);

  struct Outlet {
    std::size_t cell = 0;
    double conductance = 0;  // of the half cell to the surface [kg/s]
  };

  const FluxOperator& inside() const { return inside_; }  // W0 D: mass flow per difference of s - s_eq [kg/s]
  const std::vector<Outlet>& outlets() const { return outlets_; }
  const std::vector<double>& equilibrium() const { return equilibrium_; }  // s_eq per cell [-]
  double diffusivity() const { return diffusivity_; }

 private:
  const TissueRows& rows_;
  double diffusivity_, loss_at_90_;
  FluxOperator inside_;
  std::vector<Outlet> outlets_;
  std::vector<double> equilibrium_;
};

}  // namespace dryfront
