#include "studies/specimens/t_test.hpp"

#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cassert>
#include <cmath>

namespace dryfront {

double t_test_power(double effect_size, int per_group, double alpha) {
  assert(per_group >= 2 && effect_size >= 0 && alpha > 0 && alpha < 1);
  const double freedom = 2.0 * per_group - 2;
  const double critical = quantile(complement(boost::math::students_t(freedom), alpha / 2));
  // So far off every test finds the difference, and the series of the noncentral distribution converges no more.
  constexpr double certain = 30;
  const double shift = effect_size * std::sqrt(per_group / 2.0);
  if (shift > critical + certain) return 1;
  const boost::math::non_central_t t(freedom, shift);
  return cdf(complement(t, critical)) + cdf(t, -critical);
}

std::optional<int> specimens_per_group(double effect_size, double power, double alpha, int most) {
  if (!(effect_size > 0) || t_test_power(effect_size, most, alpha) < power) return std::nullopt;
  int too_few = 1, enough = most;
  while (enough - too_few > 1) {
    const int middle = too_few + (enough - too_few) / 2;
    (t_test_power(effect_size, middle, alpha) < power ? too_few : enough) = middle;
  }
  return enough;
}

}  // namespace dryfront
