#include "numerics/anderson.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace dryfront {

void AndersonMixing::reserve(std::size_t most) {
  residual_change_.resize(depth_);
  value_change_.resize(depth_);
  for (auto* list : {&residual_change_, &value_change_}) {
    for (auto& column : *list) column.reserve(most);
  }
  last_residual_.reserve(most);
  last_value_.reserve(most);
}

void AndersonMixing::restart(std::size_t size) {
  size_ = size;
  passes_ = 0;
  residual_change_.resize(depth_);
  value_change_.resize(depth_);
  for (auto& column : residual_change_) column.resize(size);
  for (auto& column : value_change_) column.resize(size);
  last_residual_.resize(size);
  last_value_.resize(size);
}

double AndersonMixing::next(std::span<const double> f, std::span<const double> weight, std::span<double> x) {
  if (passes_ > 0) {
    auto& dr = residual_change_[(passes_ - 1) % depth_];
    auto& df = value_change_[(passes_ - 1) % depth_];
    for (std::size_t k = 0; k < size_; ++k) {
      dr[k] = f[k] - x[k] - last_residual_[k];
      df[k] = f[k] - last_value_[k];
    }
  }
  for (std::size_t k = 0; k < size_; ++k) {
    last_residual_[k] = f[k] - x[k];
    last_value_[k] = f[k];
  }
  const std::size_t columns = std::min(passes_, depth_);
  ++passes_;
  std::copy(f.begin(), f.end(), x.begin());
  const auto change = [&] {
    double sum = 0;
    for (std::size_t k = 0; k < size_; ++k) sum += weight[k] * std::abs(x[k] - (last_value_[k] - last_residual_[k]));
    return sum;
  };
  if (columns == 0) return change();

  constexpr int most = 8;
  using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, most, most>;
  using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, most, 1>;
  const auto n = static_cast<Eigen::Index>(columns);
  Matrix gram(n, n);
  Vector projection(n);
  for (std::size_t a = 0; a < columns; ++a) {
    for (std::size_t b = 0; b <= a; ++b) {
      double sum = 0;
      for (std::size_t k = 0; k < size_; ++k) sum += weight[k] * residual_change_[a][k] * residual_change_[b][k];
      gram(static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b)) = sum;
      gram(static_cast<Eigen::Index>(b), static_cast<Eigen::Index>(a)) = sum;
    }
    double sum = 0;
    for (std::size_t k = 0; k < size_; ++k) sum += weight[k] * residual_change_[a][k] * last_residual_[k];
    projection(static_cast<Eigen::Index>(a)) = sum;
  }
  // A trace of the diagonal keeps nearly equal differences from being amplified.
  gram.diagonal() *= 1 + 1e-10;
  const Vector combination = gram.ldlt().solve(projection);
  if (!combination.allFinite()) return change();
  for (std::size_t a = 0; a < columns; ++a) {
    const double share = combination(static_cast<Eigen::Index>(a));
    for (std::size_t k = 0; k < size_; ++k) x[k] -= share * value_change_[a][k];
  }
  return change();
}

}  // namespace dryfront
