// The range of the depths under what had to be assumed: what it holds.
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace dryfront {

// The share of the runs' distribution that lies within an interval: from its 5 % to its 95 % quantile.
inline constexpr double interval_share = 0.9;

// A quantile estimated from a sample, and the values that enclose the true one with the interval's confidence; not a
// number where the sample is too small to bound it on that side.
struct QuantileEstimate {
  double value = 0;
  double from = 0;
  double to = 0;
};

// One headline number over the runs.
struct IntervalQuantity {
  std::string name;                // "depth_mm.continuous", "depth_ratio", "depth_difference_mm"
  std::string words;               // "continuous", "continuous / gated"
  std::string unit;                // "mm", "1"
  double here = 0;                 // with the case's own numbers, at the resolution of the runs
  QuantileEstimate low{}, high{};  // 5 and 95 % quantile
  double least = 0, greatest = 0;
  std::size_t counted = 0;            // runs in which it is a number
  std::vector<double> correlation{};  // with every assumed number: Spearman's rank correlation
  std::size_t foremost = 0;           // the assumed number of greatest absolute correlation
};

// An assumed number and the range it was drawn from.
struct AssumedNumber {
  std::string key;           // "electrode.contact_fraction"
  std::string distribution;  // "uniform", "log_uniform", "normal", "triangular"
  double low = 0, high = 0;  // infinite where the distribution has no end
  double here = 0;           // in the case; not a number where it stands nowhere
};

struct DepthInterval {
  std::string effect;      // whose depth: "coagulation"
  std::size_t points = 0;  // drawn
  std::size_t failed = 0;  // of them without a result
  std::string reason;      // of the first failure
  std::string ranges;      // the file the ranges stand in
  int seed = 0;
  std::string resolution;  // in words
  std::vector<AssumedNumber> assumed;
  std::vector<std::string> held;             // keys of the ranges that the user set and that therefore stay
  std::vector<std::string> foreign;          // keys of tissues that the case does not have
  double confidence = 0;                     // with which from and to enclose a quantile
  double notable_correlation = 0;            // that a number without influence exceeds in one of twenty designs
  std::string first, second;                 // the compared modes; empty when there is one mode only
  double first_deeper = 0;                   // share of the runs in which the first reaches deeper
  std::vector<IntervalQuantity> quantities;  // depths in the order of the modes, then ratio and difference
};

// An interval, or why there is none.
struct IntervalAnswer {
  std::optional<DepthInterval> interval;
  std::string reason = "not asked for";
};

// The depth's interval of a mode; null when there is none.
const IntervalQuantity* interval_of(const IntervalAnswer& answer, const std::string& mode);

}  // namespace dryfront
