// How many specimens a comparison of two means takes.
#pragma once

#include <optional>

namespace dryfront {

// Power of the two-sided two-sample t-test at level `alpha`: the probability that it finds a true difference of the
// means of `effect_size` standard deviations with `per_group` >= 2 normal values of equal spread in each of two groups,
//   P(|t'| > t_{1 - alpha/2, nu}),  t' noncentral t of nu = 2 n - 2 degrees of freedom, noncentrality d sqrt(n/2),
// exactly, a finding in the wrong direction counted too.   [-]
// Cohen 1988, Statistical Power Analysis for the Behavioral Sciences, chapter 2 (second-hand); distribution by
// Boost.Math.
double t_test_power(double effect_size, int per_group, double alpha);

// The fewest values per group, 2 at least, with which the power is at least `power`; nothing when that takes more than
// `most`, so also for an effect of 0.
std::optional<int> specimens_per_group(double effect_size, double power, double alpha, int most);

}  // namespace dryfront
