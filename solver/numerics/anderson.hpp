// Anderson mixing: speeds up a fixed-point iteration x <- F(x) from the differences of its last passes.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace dryfront {

// Walker and Ni, SIAM J. Numer. Anal. 49 (2011) 1715. Of the last `depth` differences the combination is taken that
// makes the weighted residual F(x) - x smallest; the same combination is applied to F.
class AndersonMixing {
 public:
  // depth: 1 to 8
  explicit AndersonMixing(int depth) : depth_(static_cast<std::size_t>(depth)) {}

  // Room for that many unknowns, so that restart() allocates nothing.
  void reserve(std::size_t most);

  // Starts a new iteration with `size` unknowns.
  void restart(std::size_t size);
  // x: the values F was evaluated at; f = F(x); weight >= 0 per unknown. Puts the next x in place of x and returns the
  // weighted sum of its changes.
  double next(std::span<const double> f, std::span<const double> weight, std::span<double> x);

 private:
  std::size_t depth_;
  std::size_t size_ = 0;
  std::size_t passes_ = 0;
  std::vector<std::vector<double>> residual_change_, value_change_;  // rings of `depth` columns
  std::vector<double> last_residual_, last_value_;
};

}  // namespace dryfront
