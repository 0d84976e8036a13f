// Vapour that diffuses through the gas space of tissue from where it is hot to where it is cooler, and condenses there.
#pragma once

#include <span>
#include <vector>

#include "numerics/flux.hpp"
#include "physics/face_flow.hpp"
#include "physics/tissue.hpp"

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
  double integral(double temperature) const;       // from 0 C [kg/(m s)]
  // The mean where the integrals at both are known.
  double between(double one, double other, double integral_one, double integral_other) const;

 private:
  double at(double temperature) const;

  std::vector<double> diffusion_, integral_;  // at even distances from 0 C to 100 C
};

// Gas space by volume, phi_0 + 0.75 (1 - s), 0.75 being the volume of the initial water   [-]
double gas_space(double gas_fraction, double water);
// The part of it through which a cell takes vapour in: the whole until it is nearly full, then no more than its room
// times `fills_up`, none when it holds the `most` it can.   [-]
double open_space(double gas_fraction, double water, double most);
// What has little water gives little vapour, min(1, s/0.1)   [-]
double gives_vapour(double water);

// The water s of a cell after a step in which it is offered vapour and gives some, the one solution of
//   s = before + offered open_space(s) - asked gives_vapour(s)
// in parts of the initial water; never above `most` where `before` is not, never below zero.   [-]
double water_with_vapour(double before, double gas_fraction, double most, double offered, double asked);

// How far the faces of all cells are open to vapour in a step: by the space of the taker and the giving of the giver,
// both at its end, since a cell that nears its limit takes in no more than it passes on. (An implicit Euler step of the
// water along given differences of temperature. The flow falls with the water of the taker and rises with that of the
// giver, a monotone flux, so that no pattern grows from cell to cell; first order in the cells' size where the water
// varies.) Symmetric Gauss-Seidel sweeps over the cells that matter.
class VapourOpening {
 public:
  explicit VapourOpening(const Grid& grid);

  //   offered       through an open face: mass per open_space and gives_vapour, along the fall of temperature [kg]
  //   before, most  water without vapour, and what a cell can hold [-]
  //   capacity      initial water [kg]
  void find(const FaceFlow& offered, std::span<const double> before, std::span<const double> most,
            std::span<const double> gas_fraction, std::span<const double> capacity);
  const std::vector<double>& space() const { return space_; }    // of a cell as taker [-]
  const std::vector<double>& giving() const { return giving_; }  // and as giver [-]

 private:
  struct Exchange {
    double offered = 0, asked = 0;  // in parts of the initial water [-]
  };
  Exchange exchange(const FaceFlow& offered, std::size_t cell, double capacity) const;
  void find_strong(const FaceFlow& offered, std::span<const double> capacity);

  std::vector<double> water_, space_, giving_;
  std::vector<std::size_t> strong_;  // cells that exchange much
};

}  // namespace dryfront
