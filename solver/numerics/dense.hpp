// Small dense systems: unknowns by the hundred, every one coupled to all others.
#pragma once

#include <complex>
#include <cstddef>
#include <vector>

namespace dryfront {

// Values in rows.
template <typename Number>
struct DenseMatrix {
  DenseMatrix(std::size_t rows_wanted, std::size_t columns_wanted)
      : rows(rows_wanted), columns(columns_wanted), values(rows_wanted * columns_wanted) {}
  Number& operator()(std::size_t row, std::size_t column) { return values[row * columns + column]; }
  const Number& operator()(std::size_t row, std::size_t column) const { return values[row * columns + column]; }

  std::size_t rows, columns;
  std::vector<Number> values;
};

// X of matrix X = right, by LU with pivots; the matrix is square and regular.
DenseMatrix<std::complex<double>> solve_dense(const DenseMatrix<std::complex<double>>& matrix,
                                              const DenseMatrix<std::complex<double>>& right);

// X that makes |matrix X - right| least for every column, by the singular values down to `cut_off` of the greatest.
DenseMatrix<double> least_squares(const DenseMatrix<double>& matrix, const DenseMatrix<double>& right, double cut_off);

}  // namespace dryfront
