#include "studies/interval/statistics.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cassert>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "studies/sweep/sensitivity.hpp"

namespace dryfront {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

std::vector<double> ranks(std::span<const double> values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  std::vector<double> rank(values.size());
  for (std::size_t k = 0; k < order.size();) {
    std::size_t end = k + 1;
    while (end < order.size() && values[order[end]] == values[order[k]]) ++end;
    const double mean = 0.5 * static_cast<double>(k + end - 1);
    for (; k < end; ++k) rank[order[k]] = mean;
  }
  return rank;
}

}  // namespace

EnclosingRanks enclosing_ranks(std::size_t count, double share, double confidence) {
  assert(count >= 1 && share > 0 && share < 1 && confidence > 0 && confidence < 1);
  const boost::math::binomial below(static_cast<double>(count), share);
  const double tail = 0.5 * (1 - confidence);
  EnclosingRanks enclosing{0, count + 1};
  // The quantile is below the k-th value when fewer than k draws are below it.
  while (enclosing.lower < count && cdf(below, static_cast<double>(enclosing.lower)) <= tail) ++enclosing.lower;
  while (enclosing.upper > 1 && cdf(complement(below, static_cast<double>(enclosing.upper) - 2)) <= tail) {
    --enclosing.upper;
  }
  return enclosing;
}

QuantileEstimate quantile_estimate(std::span<const double> sorted, double share, double confidence) {
  assert(!sorted.empty());
  const EnclosingRanks enclosing = enclosing_ranks(sorted.size(), share, confidence);
  // Between two infinite values the interpolation knows no number.
  const double value = sorted_quantile(sorted, share);
  return {std::isnan(value) ? sorted.back() : value, enclosing.lower == 0 ? not_known : sorted[enclosing.lower - 1],
          enclosing.upper > sorted.size() ? not_known : sorted[enclosing.upper - 1]};
}

double rank_correlation(std::span<const double> x, std::span<const double> y) {
  assert(x.size() == y.size());
  const std::vector<double> a = ranks(x), b = ranks(y);
  const double mean = 0.5 * (static_cast<double>(x.size()) - 1);
  double ab = 0, aa = 0, bb = 0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    ab += (a[k] - mean) * (b[k] - mean);
    aa += (a[k] - mean) * (a[k] - mean);
    bb += (b[k] - mean) * (b[k] - mean);
  }
  return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

double notable_correlation(std::size_t count, std::size_t numbers) {
  assert(numbers >= 1);
  if (count < 2) return 1;
  constexpr double chance = 0.05;
  const double deviation = quantile(complement(boost::math::normal(), 0.5 * chance / static_cast<double>(numbers)));
  return std::min(1.0, deviation / std::sqrt(static_cast<double>(count) - 1));
}

}  // namespace dryfront
