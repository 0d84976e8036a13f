#include "numerics/dense.hpp"

#include <Eigen/Dense>
#include <cassert>

namespace dryfront {

namespace {

template <typename Number>
using Rows = Eigen::Matrix<Number, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

template <typename Number>
Eigen::Map<const Rows<Number>> view(const DenseMatrix<Number>& matrix) {
  return {matrix.values.data(), static_cast<Eigen::Index>(matrix.rows), static_cast<Eigen::Index>(matrix.columns)};
}

template <typename Number, typename Found>
DenseMatrix<Number> kept(const Found& found) {
  DenseMatrix<Number> matrix(static_cast<std::size_t>(found.rows()), static_cast<std::size_t>(found.cols()));
  Eigen::Map<Rows<Number>>(matrix.values.data(), found.rows(), found.cols()) = found;
  return matrix;
}

}  // namespace

DenseMatrix<std::complex<double>> solve_dense(const DenseMatrix<std::complex<double>>& matrix,
                                              const DenseMatrix<std::complex<double>>& right) {
  assert(matrix.rows == matrix.columns && matrix.rows == right.rows);
  const Eigen::MatrixXcd found = Eigen::MatrixXcd(view(matrix)).partialPivLu().solve(Eigen::MatrixXcd(view(right)));
  return kept<std::complex<double>>(found);
}

DenseMatrix<double> least_squares(const DenseMatrix<double>& matrix, const DenseMatrix<double>& right, double cut_off) {
  assert(matrix.rows == right.rows);
  Eigen::BDCSVD<Eigen::MatrixXd> svd(Eigen::MatrixXd(view(matrix)), Eigen::ComputeThinU | Eigen::ComputeThinV);
  svd.setThreshold(cut_off);
  const Eigen::MatrixXd found = svd.solve(Eigen::MatrixXd(view(right)));
  return kept<double>(found);
}

}  // namespace dryfront
