#include "studies/sweep/sensitivity.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>

#include "studies/sweep/design.hpp"

namespace dryfront {

namespace {

constexpr int resamplings = 500;
constexpr double outside_low = 0.025, outside_high = 0.975;

// Sums over base points, each counted `weight` times.
class IndexSums {
 public:
  // f is the results from their mean, in whole blocks.
  IndexSums(const std::vector<double>& f, std::size_t axes) : f_(f), block_(axes + 2), first_(axes), total_(axes) {}

  void sum(const std::vector<int>& weight) {
    std::fill(first_.begin(), first_.end(), 0.0);
    std::fill(total_.begin(), total_.end(), 0.0);
    double sum = 0, squares = 0, count = 0;
    for (std::size_t n = 0; n < weight.size(); ++n) {
      if (weight[n] == 0) continue;
      const double w = weight[n];
      const double* f = &f_[n * block_];
      sum += w * (f[0] + f[1]);
      squares += w * (f[0] * f[0] + f[1] * f[1]);
      count += w;
      for (std::size_t i = 0; i < first_.size(); ++i) {
        const double difference = f[2 + i] - f[0];
        first_[i] += w * f[1] * difference;
        total_[i] += w * difference * difference;
      }
    }
    const double mean = sum / (2 * count);
    variance_ = squares / (2 * count) - mean * mean;
    for (std::size_t i = 0; i < first_.size(); ++i) {
      first_[i] /= count * variance_;
      total_[i] /= 2 * count * variance_;
    }
  }

  double variance() const { return variance_; }
  const std::vector<double>& first() const { return first_; }
  const std::vector<double>& total() const { return total_; }

 private:
  const std::vector<double>& f_;
  std::size_t block_;
  std::vector<double> first_, total_;
  double variance_ = 0;
};

Estimate with_range(double value, std::vector<double>& resampled) {
  std::erase_if(resampled, [](double number) { return !std::isfinite(number); });
  std::sort(resampled.begin(), resampled.end());
  return {value, sorted_quantile(resampled, outside_low), sorted_quantile(resampled, outside_high)};
}

}  // namespace

SobolIndices sobol_indices(std::span<const double> results, std::size_t axes, std::uint64_t seed) {
  const std::size_t block = axes + 2;
  assert(results.size() % block == 0);
  SobolIndices indices;
  std::vector<double> f;
  for (std::size_t n = 0; n < results.size(); n += block) {
    const auto values = results.subspan(n, block);
    if (std::all_of(values.begin(), values.end(), [](double value) { return std::isfinite(value); })) {
      f.insert(f.end(), values.begin(), values.end());
    } else {
      ++indices.left_out;
    }
  }
  const std::size_t count = f.size() / block;
  indices.base_points = count;
  for (std::size_t n = 0; n < count; ++n) indices.mean += f[n * block] + f[n * block + 1];
  indices.mean /= 2 * static_cast<double>(count);
  for (double& value : f) value -= indices.mean;

  IndexSums sums(f, axes);
  sums.sum(std::vector<int>(count, 1));
  indices.variance = sums.variance();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  // Below what subtraction from the mean leaves over there is no variance.
  const double noise = 1e-14 * std::abs(indices.mean);
  if (count < 2 || !(indices.variance > noise * noise)) {
    indices.first.assign(axes, {nan, nan, nan});
    indices.total = indices.first;
    return indices;
  }
  const std::vector<double> first = sums.first(), total = sums.total();
  std::vector<std::vector<double>> resampled_first(axes), resampled_total(axes);
  std::vector<int> weight(count);
  for (int k = 0; k < resamplings; ++k) {
    std::fill(weight.begin(), weight.end(), 0);
    const std::uint64_t key = scrambled(seed, static_cast<std::uint64_t>(k));
    for (std::size_t n = 0; n < count; ++n) {
      const double share = unit_interval(scrambled(key, n));
      ++weight[std::min(count - 1, static_cast<std::size_t>(share * static_cast<double>(count)))];
    }
    sums.sum(weight);
    for (std::size_t i = 0; i < axes; ++i) {
      resampled_first[i].push_back(sums.first()[i]);
      resampled_total[i].push_back(sums.total()[i]);
    }
  }
  for (std::size_t i = 0; i < axes; ++i) {
    indices.first.push_back(with_range(first[i], resampled_first[i]));
    indices.total.push_back(with_range(total[i], resampled_total[i]));
  }
  return indices;
}

double sorted_quantile(std::span<const double> sorted, double share) {
  if (sorted.empty()) return std::numeric_limits<double>::quiet_NaN();
  const double place = share * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  const double inside = place - static_cast<double>(below);
  return sorted[below] + inside * (sorted[above] - sorted[below]);
}

std::vector<LevelSegment> level_line(std::span<const double> x, std::span<const double> y,
                                     std::span<const double> field, double level) {
  assert(field.size() == x.size() * y.size());
  struct Corner {
    double x, y, value;
  };
  std::vector<LevelSegment> segments;
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    for (std::size_t j = 0; j + 1 < y.size(); ++j) {
      const auto corner = [&](std::size_t a, std::size_t b) {
        return Corner{x[a], y[b], field[a * y.size() + b] - level};
      };
      // Around the cell, so that neighbours share an edge.
      const std::array<Corner, 4> corners{corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)};
      if (!std::all_of(corners.begin(), corners.end(), [](const Corner& c) { return std::isfinite(c.value); }))
        continue;
      std::vector<std::array<double, 2>> crossings;
      for (std::size_t k = 0; k < 4; ++k) {
        const Corner &a = corners[k], &b = corners[(k + 1) % 4];
        if ((a.value < 0) == (b.value < 0)) continue;
        const double t = a.value / (a.value - b.value);
        crossings.push_back({a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)});
      }
      if (crossings.size() == 4) {
        const double mean = (corners[0].value + corners[1].value + corners[2].value + corners[3].value) / 4;
        // Crossings k and k + 1 surround corner k + 1. The centre joins the corners of its sign, the line cuts off the
        // other two: corners 1 and 3 as they stand, 0 and 2 after one turn.
        const bool with_corner_0 = (mean < 0) == (corners[0].value < 0);
        if (!with_corner_0) std::rotate(crossings.begin(), crossings.begin() + 3, crossings.end());
      }
      for (std::size_t k = 0; k + 1 < crossings.size(); k += 2) {
        segments.push_back({crossings[k][0], crossings[k][1], crossings[k + 1][0], crossings[k + 1][1]});
      }
    }
  }
  return segments;
}

}  // namespace dryfront
