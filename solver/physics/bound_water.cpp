#include "physics/bound_water.hpp"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>

namespace dryfront {

namespace {

constexpr double begins = BoundWater::no_loss_below, none_without_tail = 106, tail_from = 80;  // [C]
constexpr double pores_dry = 100;  // the gas space holds no water from there [C]

double pores_filled(double temperature) { return std::max(0.0, pores_dry - temperature) / (pores_dry - begins); }

}  // namespace

BoundWater::BoundWater(double onset_width, double tail_width)
    : onset_width_(onset_width),
      tail_width_(tail_width),
      all_(1 + std::exp((begins - none_without_tail) / onset_width)),
      kink_(0),
      water_at_kink_(0) {
  // Of the two temperatures at which the branches meet, the upper one: below it the first is the greater.
  const auto above_tail = [&](double t) {
    return all_ - std::exp((t - none_without_tail) / onset_width_) - std::exp((tail_from - t) / tail_width_);
  };
  std::uintmax_t passes = 200;
  const auto [below, above] =
      boost::math::tools::toms748_solve(above_tail, none_without_tail - 3.5 * onset_width, none_without_tail,
                                        boost::math::tools::eps_tolerance<double>(), passes);
  kink_ = 0.5 * (below + above);
  water_at_kink_ = std::exp((tail_from - kink_) / tail_width_);
}

double BoundWater::water(double temperature, double spare) const {
  if (temperature >= kink_) return std::exp((tail_from - temperature) / tail_width_);
  return all_ - std::exp((temperature - none_without_tail) / onset_width_) + spare * pores_filled(temperature);
}

BoundWater::Held BoundWater::held(double temperature, double spare) const {
  if (temperature >= kink_) {
    const double tail = std::exp((tail_from - temperature) / tail_width_);
    return {tail, -tail / tail_width_};
  }
  const double lost = std::exp((temperature - none_without_tail) / onset_width_);
  const double of_pores = temperature < pores_dry ? spare / (pores_dry - begins) : 0.0;
  return {all_ - lost + spare * pores_filled(temperature), -lost / onset_width_ - of_pores};
}

double BoundWater::slope(double temperature, double spare) const { return held(temperature, spare).slope; }

double BoundWater::onset_integral(double temperature) const {
  return all_ * temperature - onset_width_ * std::exp((temperature - none_without_tail) / onset_width_);
}

double BoundWater::tail_integral(double temperature) const {
  return -tail_width_ * std::exp((tail_from - temperature) / tail_width_);
}

double BoundWater::integral(double from, double to, double spare) const {
  const double onset = onset_integral(std::min(to, kink_)) - onset_integral(std::min(from, kink_));
  const double tail = tail_integral(std::max(to, kink_)) - tail_integral(std::max(from, kink_));
  const double wet_from = std::max(0.0, pores_dry - from), wet_to = std::max(0.0, pores_dry - to);
  return onset + tail + spare * 0.5 * (wet_from * wet_from - wet_to * wet_to) / (pores_dry - begins);
}

double BoundWater::temperature(double water, double spare) const { return temperature_near(pores_dry, water, spare); }

double BoundWater::temperature_near(double guess, double water, double spare) const {
  constexpr double least_loss = 1e-9;  // more water than tissue holds anywhere boils from far below 70 C on
  constexpr double close = 1e-8;       // before the last step; after it, next to the square of this [K]
  constexpr int most_iterations = 60;
  if (water <= water_at_kink_) return tail_from - tail_width_ * std::log(water);
  if (spare <= 0 || water <= this->water(pores_dry)) {
    return none_without_tail + onset_width_ * std::log(std::max(all_ - water, least_loss));
  }
  // Concave and falling: Newton's method comes from above, after one step from wherever it begins. The pores alone
  // would hold the water up to a bound.
  const double of_pores = spare / (pores_dry - begins);
  const double bound = std::min(pores_dry, pores_dry - (water - all_) / of_pores);
  double temperature = std::min(bound, guess);
  for (int k = 0; k < most_iterations; ++k) {
    const double lost = std::exp((temperature - none_without_tail) / onset_width_);
    const double now = all_ - lost + of_pores * (pores_dry - temperature);
    const double change = std::min(bound - temperature, (now - water) / (lost / onset_width_ + of_pores));
    temperature += change;
    if (std::abs(change) <= close) break;
  }
  return temperature;
}

}  // namespace dryfront
