#include "simulation/prediction_error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dryfront {

PredictionError::PredictionError(const Domain& domain)
    : start_(domain.specimen.start),
      least_heated_(heat_capacity(domain.rows.tissue[0], 1.0) * domain.contact.area * 0.1 *
                    std::sqrt(domain.contact.area)),
      high_load_(10 / (4 * domain.rows.tissue[0].conductivity * std::sqrt(domain.contact.area / std::numbers::pi))) {}

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
  double squares = 0;
  for (std::size_t c = 0; c < found.size(); ++c) {
    const double off = found[c] - predicted[c];
    squares += heat_capacity[c] * off * off;
  }
  return std::sqrt(squares / heated(heat_capacity, found));
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
