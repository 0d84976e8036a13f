#include "numerics/multigrid.hpp"

#include <cassert>

namespace dryfront {

namespace {

// Lines are solved in groups side by side, so that the recurrence stays in registers; a wide group hides its latency.
constexpr std::size_t group = 8;
constexpr std::size_t wide = 4 * group;

// x = T^-1 right_side for `width` lines; the pointers are at the first row (row -1 and row `rows` hold zeros).
template <std::size_t width>
void solve_group(std::size_t rows, std::size_t stride, const double* __restrict right_side,
                 const double* __restrict lower, const double* __restrict pivot, double* __restrict x) {
  double carry[width];
  for (std::size_t k = 0; k < width; ++k) carry[k] = 0;
  for (std::size_t j = 0; j < rows; ++j) {
    for (std::size_t k = 0; k < width; ++k) {
      carry[k] = right_side[j * stride + k] - lower[j * stride + k] * carry[k];
      x[j * stride + k] = carry[k];
    }
  }
  for (std::size_t k = 0; k < width; ++k) carry[k] = 0;
  for (std::size_t j = rows; j-- > 0;) {
    for (std::size_t k = 0; k < width; ++k) {
      carry[k] = x[j * stride + k] * pivot[j * stride + k] - lower[(j + 1) * stride + k] * carry[k];
      x[j * stride + k] = carry[k];
    }
  }
}

}  // namespace

Multigrid::Multigrid(int columns, int rows)
    : columns_(static_cast<std::size_t>(columns)), rows_(static_cast<std::size_t>(rows)) {
  assert(columns > 0 && rows > 0);
  for (std::size_t m = columns_;; m = (m + 1) / 2) {
    Level level;
    level.evens = (m + 1) / 2;
    level.odds = m / 2;
    level.stride = (level.evens + 1 + group - 1) / group * group;
    const std::size_t size = (rows_ + 2) * level.stride;
    for (Lines* lines : {&level.even, &level.odd, &level.product}) {
      // Unused places are lines of their own with nothing in them.
      lines->diagonal.assign(size, 1.0);
      for (Field* field : {&lines->below, &lines->pivot, &lines->lower, &lines->x, &lines->b}) field->assign(size, 0.0);
    }
    for (Coupling* coupling : {&level.west, &level.east, &level.product_east}) {
      for (Field* field : {&coupling->level, &coupling->down, &coupling->up}) field->assign(size, 0.0);
    }
    for (Field* field : {&level.west_weight, &level.east_weight, &level.work}) field->assign(size, 0.0);
    levels_.push_back(std::move(level));
    if (m == 1) break;
  }
}

// L D L^T of every line at once: the recurrence runs down the rows, the inner loop across the lines.
void Multigrid::factorise(const Level& level, Lines& lines) const {
  const std::size_t stride = level.stride;
  for (std::size_t first = 0; first < stride; first += group) {
    double previous[group];
    for (std::size_t k = 0; k < group; ++k) previous[k] = 0;
    for (std::size_t j = 1; j <= rows_; ++j) {
      const double* __restrict d = lines.diagonal.data() + j * stride + first;
      const double* __restrict s = lines.below.data() + (j - 1) * stride + first;  // zero above the first row
      double* __restrict p = lines.pivot.data() + j * stride + first;
      double* __restrict l = lines.lower.data() + j * stride + first;
      for (std::size_t k = 0; k < group; ++k) {
        l[k] = s[k] * previous[k];
        previous[k] = 1 / (d[k] - s[k] * l[k]);
        p[k] = previous[k];
      }
    }
  }
}

// lines.x = T^-1 right_side
void Multigrid::solve(const Level& level, Lines& lines, const Field& right_side) const {
  const std::size_t stride = level.stride;
  std::size_t first = 0;
  const auto at = [&](const Field& field) { return field.data() + stride + first; };
  for (; first + wide <= stride; first += wide) {
    solve_group<wide>(rows_, stride, at(right_side), at(lines.lower), at(lines.pivot), lines.x.data() + stride + first);
  }
  for (; first < stride; first += group) {
    solve_group<group>(rows_, stride, at(right_side), at(lines.lower), at(lines.pivot),
                       lines.x.data() + stride + first);
  }
}

void Multigrid::build(const FluxOperator& op) {
  assert(static_cast<std::size_t>(op.columns) == columns_ && static_cast<std::size_t>(op.rows) == rows_);
  Level& finest = levels_.front();
  for (std::size_t j = 0; j < rows_; ++j) {
    const std::size_t row = j * columns_;
    const double* __restrict east = op.east.data() + row;
    const double* __restrict south = op.south.data() + row;
    const double* __restrict shunt = op.shunt.data() + row;
    const double* north = j > 0 ? op.south.data() + row - columns_ : nullptr;
    const std::size_t at = (j + 1) * finest.stride;
    for (std::size_t i = 0; i < columns_; ++i) {
      double diagonal = shunt[i] + east[i] + south[i];
      if (i > 0) diagonal += east[i - 1];
      if (north != nullptr) diagonal += north[i];
      const bool even = i % 2 == 0;
      Lines& lines = even ? finest.even : finest.odd;
      const std::size_t k = at + (i + 1) / 2;
      lines.diagonal[k] = diagonal;
      lines.below[k] = -south[i];
      if (i + 1 < columns_) {
        if (even) {
          finest.west.level[k + 1] = -east[i];
        } else {
          finest.east.level[k] = -east[i];
        }
      }
    }
  }
  for (std::size_t depth = 0;; ++depth) {
    Level& level = levels_[depth];
    factorise(level, level.even);
    if (level.odds == 0) break;
    factorise(level, level.odd);
    coarsen(level, levels_[depth + 1], depth == 0);
  }
}

// weight = -T_odd^-1 (row sums of the coupling to one neighbour)
void Multigrid::find_weights(Level& level, const Coupling& side, Field& weight) const {
  double* __restrict sum = level.work.data();
  const double* __restrict l = side.level.data();
  const double* __restrict d = side.down.data();
  const double* __restrict u = side.up.data();
  for (std::size_t c = 0; c < level.work.size(); ++c) sum[c] = -(l[c] + d[c] + u[c]);
  solve(level, level.odd, level.work);
  weight.swap(level.odd.x);
}

// Interpolation weights, then the Galerkin product P^T A P with P = (identity on even; weights on odd).
void Multigrid::coarsen(Level& fine, Level& coarse, bool five_point) const {
  find_weights(fine, fine.west, fine.west_weight);
  find_weights(fine, fine.east, fine.east_weight);
  const std::size_t stride = fine.stride;
  const std::size_t begin = stride;
  const std::size_t end = (rows_ + 1) * stride - 1;  // the last place of a row is never an even column
  const double* __restrict ww = fine.west_weight.data();
  const double* __restrict we = fine.east_weight.data();
  const double* __restrict d = fine.odd.diagonal.data();
  const double* __restrict s = fine.odd.below.data();
  const double* __restrict wl = fine.west.level.data();
  const double* __restrict el = fine.east.level.data();
  const double* __restrict even_diagonal = fine.even.diagonal.data();
  const double* __restrict even_below = fine.even.below.data();
  double* __restrict diagonal = fine.product.diagonal.data();
  double* __restrict below = fine.product.below.data();
  double* __restrict level = fine.product_east.level.data();
  double* __restrict down = fine.product_east.down.data();
  double* __restrict up = fine.product_east.up.data();
  // Of even column k, the odd column to the east is at k + 1 and has its west weight there; the one to the west is at k.
  for (std::size_t k = begin; k < end; ++k) {
    const std::size_t e = k + 1;
    const std::size_t n = k + stride;
    diagonal[k] = even_diagonal[k] + ww[e] * (2 * wl[e] + ww[e] * d[e]) + we[k] * (2 * el[k] + we[k] * d[k]);
    below[k] = even_below[k] + ww[e] * s[e] * ww[n + 1] + we[k] * s[k] * we[n];
    level[k] = wl[e] * we[e] + ww[e] * el[e] + ww[e] * d[e] * we[e];
    down[k] = ww[e] * s[e] * we[n + 1];
    up[k] = ww[e] * s[e - stride] * we[e - stride];
  }
  if (!five_point) {
    const double* __restrict wd = fine.west.down.data();
    const double* __restrict wu = fine.west.up.data();
    const double* __restrict ed = fine.east.down.data();
    const double* __restrict eu = fine.east.up.data();
    for (std::size_t k = begin; k < end; ++k) {
      const std::size_t e = k + 1;
      const std::size_t n = k + stride;
      // (even j, odd j + 1) is the odd column's entry to the row above it: up of row j + 1
      below[k] += wu[n + 1] * ww[n + 1] + ww[e] * wd[e] + eu[n] * we[n] + we[k] * ed[k];
      down[k] += wu[n + 1] * we[n + 1] + ww[e] * ed[e];
      up[k] += wd[e - stride] * we[e - stride] + ww[e] * eu[e];
    }
  }
  deal(fine, fine.product.diagonal, coarse, coarse.even.diagonal, coarse.odd.diagonal);
  deal(fine, fine.product.below, coarse, coarse.even.below, coarse.odd.below);
  // The entries of a pair are stored at its odd column. From an odd column to its east neighbour they are as computed;
  // from an even one to its east (odd) neighbour, down and up change places when seen from the odd column's row.
  const std::size_t pairs = fine.evens - 1;
  for (std::size_t j = 1; j <= rows_; ++j) {
    const std::size_t from = j * stride;
    const std::size_t to = j * coarse.stride;
    for (std::size_t k = 0; k < pairs; k += 2) {
      const std::size_t odd = to + k / 2 + 1;
      coarse.west.level[odd] = level[from + k];
      coarse.west.up[odd] = j > 1 ? down[from + k - stride] : 0.0;
      coarse.west.down[odd] = j < rows_ ? up[from + k + stride] : 0.0;
    }
    for (std::size_t k = 1; k < pairs; k += 2) {
      const std::size_t odd = to + k / 2 + 1;
      coarse.east.level[odd] = level[from + k];
      coarse.east.down[odd] = j < rows_ ? down[from + k] : 0.0;
      coarse.east.up[odd] = j > 1 ? up[from + k] : 0.0;
    }
  }
}

// Deals a field of the even columns of one level out to the even and odd columns of the next.
void Multigrid::deal(const Level& from, const Field& natural, const Level& to, Field& even, Field& odd) const {
  for (std::size_t j = 1; j <= rows_; ++j) {
    const double* __restrict n = natural.data() + j * from.stride;
    double* __restrict e = even.data() + j * to.stride;
    double* __restrict o = odd.data() + j * to.stride + 1;
    for (std::size_t q = 0; q < to.odds; ++q) {
      e[q] = n[2 * q];
      o[q] = n[2 * q + 1];
    }
    if (to.evens > to.odds) e[to.odds] = n[2 * to.odds];
  }
}

// work = b_odd - A_odd,even x_even
void Multigrid::subtract_even(Level& level, bool five_point) const {
  const std::size_t stride = level.stride;
  const std::size_t end = (rows_ + 1) * stride;
  const double* __restrict b = level.odd.b.data();
  const double* __restrict x = level.even.x.data();
  const double* __restrict wl = level.west.level.data();
  const double* __restrict el = level.east.level.data();
  double* __restrict out = level.work.data();
  if (five_point) {
    for (std::size_t o = stride; o < end; ++o) out[o] = b[o] - wl[o] * x[o - 1] - el[o] * x[o];
    return;
  }
  const double* __restrict wd = level.west.down.data();
  const double* __restrict wu = level.west.up.data();
  const double* __restrict ed = level.east.down.data();
  const double* __restrict eu = level.east.up.data();
  out[stride] = 0;  // no odd column there, and nothing lies before the row of zeros above
  for (std::size_t o = stride + 1; o < end; ++o) {
    out[o] = b[o] - (wl[o] * x[o - 1] + el[o] * x[o]) - (wd[o] * x[o - 1 + stride] + ed[o] * x[o + stride]) -
             (wu[o] * x[o - 1 - stride] + eu[o] * x[o - stride]);
  }
}

// work = b_even - A_even,odd x_odd; `from_right_side` false leaves b out (the residual after the even columns were solved)
void Multigrid::subtract_odd(Level& level, bool five_point, bool from_right_side) const {
  const std::size_t stride = level.stride;
  const std::size_t end = (rows_ + 1) * stride - 1;
  const double* __restrict x = level.odd.x.data();
  const double* __restrict wl = level.west.level.data();
  const double* __restrict el = level.east.level.data();
  const double* __restrict b = level.even.b.data();
  const double keep = from_right_side ? 1.0 : 0.0;
  double* __restrict out = level.work.data();
  if (five_point) {
    for (std::size_t k = stride; k < end; ++k) out[k] = keep * b[k] - (wl[k + 1] * x[k + 1] + el[k] * x[k]);
  } else {
    const double* __restrict wd = level.west.down.data();
    const double* __restrict wu = level.west.up.data();
    const double* __restrict ed = level.east.down.data();
    const double* __restrict eu = level.east.up.data();
    for (std::size_t k = stride; k < end; ++k) {
      const std::size_t below = k + stride;
      const std::size_t above = k - stride;
      out[k] = keep * b[k] - (wl[k + 1] * x[k + 1] + el[k] * x[k]) -
               (wu[below + 1] * x[below + 1] + eu[below] * x[below]) -
               (wd[above + 1] * x[above + 1] + ed[above] * x[above]);
    }
  }
  out[end] = 0;
}

void Multigrid::descend(std::size_t depth) {
  Level& level = levels_[depth];
  const bool five_point = depth == 0;
  solve(level, level.even, level.even.b);
  if (level.odds == 0) return;
  subtract_even(level, five_point);
  solve(level, level.odd, level.work);

  // The odd columns have no residual now, so restriction takes the even ones as they are.
  subtract_odd(level, five_point, false);
  Level& coarse = levels_[depth + 1];
  deal(level, level.work, coarse, coarse.even.b, coarse.odd.b);
  descend(depth + 1);
  for (std::size_t j = 1; j <= rows_; ++j) {
    double* __restrict to = level.even.x.data() + j * level.stride;
    const double* __restrict e = coarse.even.x.data() + j * coarse.stride;
    const double* __restrict o = coarse.odd.x.data() + j * coarse.stride + 1;
    for (std::size_t q = 0; q < coarse.odds; ++q) {
      to[2 * q] += e[q];
      to[2 * q + 1] += o[q];
    }
    if (coarse.evens > coarse.odds) to[2 * coarse.odds] += e[coarse.odds];
  }

  // Solving the odd columns exactly from the corrected even ones interpolates and smooths at once.
  subtract_even(level, five_point);
  solve(level, level.odd, level.work);
  subtract_odd(level, five_point, true);
  solve(level, level.even, level.work);
}

void Multigrid::cycle(std::span<const double> residual, std::span<double> correction) {
  Level& finest = levels_.front();
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* __restrict from = residual.data() + j * columns_;
    double* __restrict e = finest.even.b.data() + (j + 1) * finest.stride;
    double* __restrict o = finest.odd.b.data() + (j + 1) * finest.stride + 1;
    for (std::size_t q = 0; q < finest.odds; ++q) {
      e[q] = from[2 * q];
      o[q] = from[2 * q + 1];
    }
    if (finest.evens > finest.odds) e[finest.odds] = from[2 * finest.odds];
  }
  descend(0);
  for (std::size_t j = 0; j < rows_; ++j) {
    double* __restrict to = correction.data() + j * columns_;
    const double* __restrict e = finest.even.x.data() + (j + 1) * finest.stride;
    const double* __restrict o = finest.odd.x.data() + (j + 1) * finest.stride + 1;
    for (std::size_t q = 0; q < finest.odds; ++q) {
      to[2 * q] = e[q];
      to[2 * q + 1] = o[q];
    }
    if (finest.evens > finest.odds) to[2 * finest.odds] = e[finest.odds];
  }
}

}  // namespace dryfront
