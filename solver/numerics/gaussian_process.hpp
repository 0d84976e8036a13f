// A Gaussian process that stands in for a function that is dear to compute.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "numerics/dense.hpp"

namespace dryfront {

// Of values y at points x in the unit cube:
//   y(x) = b0 + sum_i b_i x_i + Z(x) + noise,   cov Z(x), Z(x') = v m(r),   r^2 = sum_i ((x_i - x'_i)/l_i)^2,
//   m(r) = (1 + a r + a^2 r^2/3) exp(-a r), a = sqrt(5)   (Matern, smoothness 5/2),   noise of variance v g.
// b by generalised least squares, v by its likelihood, l and g by the greatest of likelihood times a wide prior (log l
// normal about 0 with deviation 1.5). Rasmussen and Williams 2006, chapters 2, 4 and 5. The noise is what steps and
// cells of the function's own numerics scatter.
class GaussianProcess {
 public:
  // One row a point, at least two more than columns plus one (asserted). With `like`, l and g are sought from those of
  // an earlier process of the same function.
  GaussianProcess(const DenseMatrix<double>& points, std::span<const double> values,
                  const GaussianProcess* like = nullptr);
  GaussianProcess(GaussianProcess&&) noexcept;
  GaussianProcess& operator=(GaussianProcess&&) noexcept;
  ~GaussianProcess();

  double mean(std::span<const double> point) const;
  // Of the function without its noise, l, g and v taken for known.
  double variance(std::span<const double> point) const;
  // Value less what the other points predict there, for every point, with l, g as they are (Dubrule 1983).
  std::vector<double> left_out() const;

 private:
  struct Fitted;
  std::unique_ptr<Fitted> fitted_;
};

}  // namespace dryfront
