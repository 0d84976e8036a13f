// Numbers that look random and are the same everywhere: the standard library's distributions are not.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace dryfront {

// Numerical Recipes' 64-bit linear congruential generator (Knuth's constants, from memory).
class Draws {
 public:
  explicit Draws(std::uint64_t seed) : state_(seed) {}

  // Uniform in [0, 1).
  double uniform() {
    state_ = state_ * 6364136223846793005u + 1442695040888963407u;
    return static_cast<double>(state_ >> 11) * 0x1p-53;
  }
  double between(double least, double most) { return least + (most - least) * uniform(); }
  // Uniform in the logarithm.
  double spread(double least, double most) { return least * std::pow(most / least, uniform()); }

  std::vector<double> field(std::size_t cells, double least, double most) {
    std::vector<double> values(cells);
    for (double& value : values) value = between(least, most);
    return values;
  }

 private:
  std::uint64_t state_;
};

inline double inner_product(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t k = 0; k < a.size(); ++k) sum += a[k] * b[k];
  return sum;
}

}  // namespace dryfront
