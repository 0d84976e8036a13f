#include "simulation/prediction_error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dryfront {

namespace {

// How far the face reaches across [m]
double width_of(const Domain& domain) {
  const double area = domain.contact.area;
  return domain.grid.symmetry() == Symmetry::plane ? area / domain.grid.length() : std::sqrt(area);
}

// One over the load of the face in perfect contact: 4 sigma a of a disc of its area on a half-space; of a strip of its
// half width a over a grounded bottom in the depth H, pi sigma l/asinh(4 H/(pi a)), which is within 20 % of the exact
// one at any a/H and meets it for a small a (check E7).   [S]
double perfect_conductance(const Domain& domain) {
  const double area = domain.contact.area, sigma = domain.rows.tissue[0].conductivity;
  if (domain.grid.symmetry() == Symmetry::axis) return 4 * sigma * std::sqrt(area / std::numbers::pi);
  const double half_width = 0.5 * width_of(domain);
  return std::numbers::pi * sigma * domain.grid.length() /
         std::asinh(4 * domain.grid.z_face().back() / (std::numbers::pi * half_width));
}

}  // namespace

PredictionError::PredictionError(const Domain& domain)
    : start_(domain.specimen.start),
      least_heated_(heat_capacity(domain.rows.tissue[0], 1.0) * domain.contact.area * 0.1 * width_of(domain)),
      high_load_(10 / perfect_conductance(domain)) {}

// Heat capacity of what has been heated [J/K]
double PredictionError::heated(const std::vector<double>& heat_capacity, const std::vector<double>& found) const {
  constexpr double heated_by = 10;  // a cell counts as heated in full by that much [K]
  double sum = least_heated_;
  for (std::size_t c = 0; c < found.size(); ++c) {
    sum += heat_capacity[c] * std::min(1.0, std::abs(found[c] - start_) / heated_by);
  }
  return sum;
}

double PredictionError::of_temperature(const std::vector<double>& heat_capacity, const std::vector<double>& predicted,
                                       const std::vector<double>& found) const {
  constexpr double cell_counts = 0.01;
  double squares = 0, worst = 0;
  for (std::size_t c = 0; c < found.size(); ++c) {
    const double off = found[c] - predicted[c];
    squares += heat_capacity[c] * off * off;
    worst = std::max(worst, std::abs(std::min(found[c], hottest_known) - std::min(predicted[c], hottest_known)));
  }
  return std::max(std::sqrt(squares / heated(heat_capacity, found)), cell_counts * worst);
}

double PredictionError::of_moved_heat(const std::vector<double>& heat_capacity, const std::vector<double>& moved,
                                      const std::vector<double>& found) const {
  double squares = 0;
  for (std::size_t c = 0; c < found.size(); ++c) squares += moved[c] * moved[c] / heat_capacity[c];
  return std::sqrt(squares / heated(heat_capacity, found));
}

double PredictionError::of_load(const State& now, const State& next, double dt) const {
  constexpr double kelvin_per_load = 100;
  if (!next.current_on) return 0;
  const double expected = now.electric.resistance + dt * now.rates.resistance;
  const double missed = std::abs(next.electric.resistance - expected) / next.electric.resistance;
  const double drier = std::max(now.electric.resistance, next.electric.resistance) / high_load_;
  return kelvin_per_load * missed / (1 + drier * drier);
}

}  // namespace dryfront
