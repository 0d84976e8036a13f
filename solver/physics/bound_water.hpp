// Bound water: what tissue still holds at a temperature.
#pragma once

namespace dryfront {

// s_b(T) = 1 - exp((T - 106)/a) + exp((70 - 106)/a)   up to where it falls below the tail
//          exp(-(T - 80)/b)                            above, that is from 103.6 C on with a = 3.42 K, b = 34.37 K
// Fit of Yang et al. 2007, IEEE TBME 54:1382 (from memory), there without the constant, which is 3e-5 and makes the
// loss begin at 70 C, below which s_b is above one. Continuous and falling throughout. a from 2 to 5 K, b from 20 to
// 60 K.
// A gas space that can take up the spare share g of the initial water, where vapour condenses, is free of it from 100 C
// on; assumed is that it dries evenly from 70 C to there: g max(0, (100 - T)/30) is added to s_b.
class BoundWater {
 public:
  // a and b   [K]
  BoundWater(double onset_width, double tail_width);

  // Up to here tissue holds 1 and its spare share, and all the water it has   [C]
  static constexpr double no_loss_below = 70;

  double water(double temperature, double spare = 0) const;         // s_b [-]
  double slope(double temperature, double spare = 0) const;         // ds_b/dT, negative; at a kink that above it [1/K]
  double integral(double from, double to, double spare = 0) const;  // of s_b over T [K]
  double temperature(double water, double spare = 0) const;         // at which s_b is `water` > 0 [C]
  double temperature_near(double guess, double water, double spare) const;  // the same
  // s_b and ds_b/dT at once.
  struct Held {
    double water, slope;
  };
  Held held(double temperature, double spare) const;
  double kink() const { return kink_; }                    // where the tail begins [C]
  double water_at_kink() const { return water_at_kink_; }  // [-]

 private:
  double onset_integral(double temperature) const;
  double tail_integral(double temperature) const;

  double onset_width_, tail_width_;
  double all_;  // s_b far below 70 C [-]
  double kink_, water_at_kink_;
};

}  // namespace dryfront
