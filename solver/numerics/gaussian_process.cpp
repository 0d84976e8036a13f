#include "numerics/gaussian_process.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "numerics/maximum.hpp"

namespace dryfront {
namespace {

using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
using Eigen::Index;

constexpr double shortest = 0.03, longest = 30;       // l, in sides of the cube
constexpr double least_noise = 1e-8, most_noise = 1;  // g
constexpr double usual_deviation = 1.5;               // of log l about 0
const double root_5 = std::sqrt(5.0);

double matern(double r) { return (1 + root_5 * r + 5 * r * r / 3) * std::exp(-root_5 * r); }

// 1 and the coordinates, a row each.
Eigen::MatrixXd trend_terms(const Rows& points) {
  Eigen::MatrixXd terms(points.rows(), points.cols() + 1);
  terms.col(0).setOnes();
  terms.rightCols(points.cols()) = points;
  return terms;
}

// What follows from l and g.
struct Solved {
  Eigen::LLT<Eigen::MatrixXd> factor;  // of the correlation with its noise
  Eigen::LLT<Eigen::MatrixXd> trend_factor;
  Eigen::VectorXd trend, weights;  // b, and R^-1 (y - F b)
  double variance = 0;             // v
  double log_likelihood = -std::numeric_limits<double>::infinity();
};

Eigen::MatrixXd correlation(const Rows& points, const Eigen::VectorXd& lengths, double noise) {
  const Rows scaled = points * lengths.cwiseInverse().asDiagonal();
  Eigen::MatrixXd matrix(points.rows(), points.rows());
  for (Index k = 0; k < points.rows(); ++k) {
    for (Index m = 0; m <= k; ++m) matrix(k, m) = matrix(m, k) = matern((scaled.row(k) - scaled.row(m)).norm());
    matrix(k, k) = 1 + noise;
  }
  return matrix;
}

Solved solve(const Eigen::MatrixXd& matrix, const Eigen::MatrixXd& terms, const Eigen::VectorXd& values) {
  Solved solved;
  solved.factor.compute(matrix);
  if (solved.factor.info() != Eigen::Success) return solved;
  const Eigen::MatrixXd inverse_terms = solved.factor.solve(terms);
  solved.trend_factor.compute(terms.transpose() * inverse_terms);
  if (solved.trend_factor.info() != Eigen::Success) return solved;
  solved.trend = solved.trend_factor.solve(inverse_terms.transpose() * values);
  const Eigen::VectorXd rest = values - terms * solved.trend;
  solved.weights = solved.factor.solve(rest);
  const auto count = static_cast<double>(values.size());
  // A function without any variation has none; the floor keeps its logarithm finite.
  solved.variance = std::max(rest.dot(solved.weights) / count, 1e-24);
  const double half_log_determinant = solved.factor.matrixLLT().diagonal().array().log().sum();
  solved.log_likelihood = -0.5 * count * std::log(solved.variance) - half_log_determinant;
  return solved;
}

// Derivatives of the likelihood by log l and log g: half of sum (w w'/v - R^-1) dR, over all pairs.
void add_gradient(const Rows& points, const Eigen::VectorXd& lengths, double noise, const Solved& solved,
                  std::span<double> gradient) {
  const Index count = points.rows(), dimensions = points.cols();
  Eigen::MatrixXd pull = solved.weights * solved.weights.transpose() / solved.variance;
  pull -= solved.factor.solve(Eigen::MatrixXd::Identity(count, count));
  const Rows scaled = points * lengths.cwiseInverse().asDiagonal();
  Eigen::VectorXd by_length = Eigen::VectorXd::Zero(dimensions);
  for (Index k = 0; k < count; ++k) {
    for (Index m = 0; m < k; ++m) {
      const Eigen::VectorXd apart = scaled.row(k) - scaled.row(m);
      const double r = apart.norm();
      // dm/d(log l_i) = 5/3 (1 + a r) exp(-a r) (x_i - x'_i)^2/l_i^2
      by_length += pull(k, m) * 5.0 / 3 * (1 + root_5 * r) * std::exp(-root_5 * r) * apart.cwiseAbs2();
    }
  }
  for (Index i = 0; i < dimensions; ++i) gradient[static_cast<std::size_t>(i)] += by_length(i);
  gradient[static_cast<std::size_t>(dimensions)] += 0.5 * noise * pull.trace();
}

}  // namespace

struct GaussianProcess::Fitted {
  Rows points;
  Eigen::MatrixXd terms;
  Eigen::VectorXd values;
  std::vector<double> logs;  // of l, then of g
  Eigen::VectorXd lengths;
  Rows scaled;
  Solved solved;

  Eigen::VectorXd lengths_of(std::span<const double> x) const {
    Eigen::VectorXd found(points.cols());
    for (Index i = 0; i < found.size(); ++i) found(i) = std::exp(x[static_cast<std::size_t>(i)]);
    return found;
  }

  double judged(std::span<const double> x, std::span<double> gradient) const {
    const Eigen::VectorXd tried = lengths_of(x);
    const double noise = std::exp(x.back());
    const Solved of = solve(correlation(points, tried, noise), terms, values);
    double value = of.log_likelihood;
    std::fill(gradient.begin(), gradient.end(), 0.0);
    if (std::isinf(value)) return value;
    if (!gradient.empty()) add_gradient(points, tried, noise, of, gradient);
    for (std::size_t i = 0; i + 1 < x.size(); ++i) {
      value -= 0.5 * x[i] * x[i] / (usual_deviation * usual_deviation);
      if (!gradient.empty()) gradient[i] -= x[i] / (usual_deviation * usual_deviation);
    }
    return value;
  }

  // m(r) to every point.
  Eigen::VectorXd correlations_at(const Eigen::VectorXd& point) const {
    const Eigen::RowVectorXd at = point.cwiseQuotient(lengths).transpose();
    const Eigen::ArrayXd r = (scaled.rowwise() - at).rowwise().norm().array();
    return (1 + root_5 * r + 5.0 / 3 * r.square()) * (-root_5 * r).exp();
  }
};

GaussianProcess::GaussianProcess(const DenseMatrix<double>& points, std::span<const double> values,
                                 const GaussianProcess* like)
    : fitted_(std::make_unique<Fitted>()) {
  assert(values.size() == points.rows && points.rows >= points.columns + 3);
  Fitted& f = *fitted_;
  f.points =
      Eigen::Map<const Rows>(points.values.data(), static_cast<Index>(points.rows), static_cast<Index>(points.columns));
  f.terms = trend_terms(f.points);
  f.values = Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Index>(values.size()));
  const std::size_t count = points.columns + 1;
  Box box{std::vector<double>(count, std::log(shortest)), std::vector<double>(count, std::log(longest))};
  box.lower.back() = std::log(least_noise);
  box.upper.back() = std::log(most_noise);
  constexpr double first_noise = 1e-4, tolerance = 1e-3;
  constexpr int most = 120;
  std::vector<double> start(count, 0.0);
  start.back() = std::log(first_noise);
  if (like != nullptr) start = like->fitted_->logs;
  const auto judged = [&f](std::span<const double> x, std::span<double> gradient) { return f.judged(x, gradient); };
  f.logs = climb_by_gradient(judged, box, start, tolerance, most).at;
  f.lengths = f.lengths_of(f.logs);
  f.scaled = f.points * f.lengths.cwiseInverse().asDiagonal();
  f.solved = solve(correlation(f.points, f.lengths, std::exp(f.logs.back())), f.terms, f.values);
}

GaussianProcess::GaussianProcess(GaussianProcess&&) noexcept = default;
GaussianProcess& GaussianProcess::operator=(GaussianProcess&&) noexcept = default;
GaussianProcess::~GaussianProcess() = default;

double GaussianProcess::mean(std::span<const double> point) const {
  const Fitted& f = *fitted_;
  const Eigen::Map<const Eigen::VectorXd> x(point.data(), static_cast<Index>(point.size()));
  return f.solved.trend(0) + f.solved.trend.tail(x.size()).dot(x) + f.correlations_at(x).dot(f.solved.weights);
}

double GaussianProcess::variance(std::span<const double> point) const {
  const Fitted& f = *fitted_;
  const Eigen::Map<const Eigen::VectorXd> x(point.data(), static_cast<Index>(point.size()));
  const Eigen::VectorXd near = f.correlations_at(x);
  const Eigen::VectorXd solved = f.solved.factor.solve(near);
  Eigen::VectorXd open(x.size() + 1);  // of the trend
  open(0) = 1;
  open.tail(x.size()) = x;
  open -= f.terms.transpose() * solved;
  const double share = 1 - near.dot(solved) + open.dot(f.solved.trend_factor.solve(open));
  return f.solved.variance * std::max(share, 0.0);
}

std::vector<double> GaussianProcess::left_out() const {
  // With Q = R^-1 - R^-1 F (F' R^-1 F)^-1 F' R^-1 the residual of point k is (Q y)_k/Q_kk, and Q y are the weights.
  const Fitted& f = *fitted_;
  const Index count = f.points.rows();
  const Eigen::MatrixXd inverse = f.solved.factor.solve(Eigen::MatrixXd::Identity(count, count));
  const Eigen::MatrixXd terms = f.solved.factor.solve(f.terms);
  const Eigen::MatrixXd q = inverse - terms * f.solved.trend_factor.solve(terms.transpose());
  std::vector<double> residuals(static_cast<std::size_t>(count));
  for (Index k = 0; k < count; ++k) residuals[static_cast<std::size_t>(k)] = f.solved.weights(k) / q(k, k);
  return residuals;
}

}  // namespace dryfront
