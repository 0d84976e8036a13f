// What a small sample says of a distribution: quantiles with their sampling error, rank correlation.
#pragma once

#include <cstddef>
#include <span>

#include "studies/interval/depth_interval.hpp"

namespace dryfront {

// Which order statistics of a sample of `count` independent draws enclose the `share` quantile with at least the given
// confidence, what is missing of it split evenly: the k-th smallest value is above the quantile with the probability
// that fewer than k of the draws are below it, a binomial count (David and Nagaraja 2003, "Order Statistics",
// section 7.1, from memory). 1 is the smallest value; 0 or count + 1: no value of the sample bounds it on that side.
struct EnclosingRanks {
  std::size_t lower = 0, upper = 0;
};
EnclosingRanks enclosing_ranks(std::size_t count, double share, double confidence);

// The `share` quantile of `sorted` (type 7 of Hyndman and Fan 1996), and what encloses it. At least one value
// (asserted).
QuantileEstimate quantile_estimate(std::span<const double> sorted, double share, double confidence);

// Spearman's rank correlation, ties at their mean rank; 0 when one of the two does not vary. Same length (asserted).
double rank_correlation(std::span<const double> x, std::span<const double> y);

// The absolute rank correlation that, of `numbers` numbers without any influence, the greatest exceeds in one of twenty
// samples of `count`: the normal quantile at 1 - 0.05/(2 numbers) over sqrt(count - 1) (large-sample distribution of
// Spearman's coefficient, Kendall and Gibbons 1990, from memory; Bonferroni for the many). At most 1.
double notable_correlation(std::size_t count, std::size_t numbers);

}  // namespace dryfront
