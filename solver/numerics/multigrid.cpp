#include "numerics/multigrid.hpp"

#include <cassert>

namespace dryfront {

void Multigrid::Lines::resize(std::size_t lines, std::size_t rows) {
  count = lines;
  for (auto* field : {&diagonal, &below, &pivot, &lower, &x, &b}) field->assign(lines * rows, 0.0);
}

void Multigrid::Coupling::resize(std::size_t pairs, std::size_t rows) {
  for (auto* field : {&level, &down, &up}) field->assign(pairs * rows, 0.0);
}

// L D L^T of every line at once: the recurrence runs down the rows, the inner loop across the lines.
void Multigrid::Lines::factorise(std::size_t rows) {
  for (std::size_t k = 0; k < count; ++k) {
    pivot[k] = 1 / diagonal[k];
    lower[k] = 0;
  }
  for (std::size_t j = 1; j < rows; ++j) {
    const double* __restrict d = diagonal.data() + j * count;
    const double* __restrict s = below.data() + (j - 1) * count;
    const double* __restrict previous = pivot.data() + (j - 1) * count;
    double* __restrict p = pivot.data() + j * count;
    double* __restrict l = lower.data() + j * count;
    for (std::size_t k = 0; k < count; ++k) {
      l[k] = s[k] * previous[k];
      p[k] = 1 / (d[k] - s[k] * l[k]);
    }
  }
}

void Multigrid::Lines::solve(std::size_t rows, const double* right_side) {
  double* y = x.data();
  for (std::size_t k = 0; k < count; ++k) y[k] = right_side[k];
  for (std::size_t j = 1; j < rows; ++j) {
    const double* __restrict r = right_side + j * count;
    const double* __restrict l = lower.data() + j * count;
    const double* __restrict before = y + (j - 1) * count;
    double* __restrict here = y + j * count;
    for (std::size_t k = 0; k < count; ++k) here[k] = r[k] - l[k] * before[k];
  }
  for (std::size_t k = 0; k < count; ++k) y[(rows - 1) * count + k] *= pivot[(rows - 1) * count + k];
  for (std::size_t j = rows - 1; j-- > 0;) {
    const double* __restrict p = pivot.data() + j * count;
    const double* __restrict l = lower.data() + (j + 1) * count;
    const double* __restrict after = y + (j + 1) * count;
    double* __restrict here = y + j * count;
    for (std::size_t k = 0; k < count; ++k) here[k] = here[k] * p[k] - l[k] * after[k];
  }
}

Multigrid::Multigrid(int columns, int rows)
    : columns_(static_cast<std::size_t>(columns)), rows_(static_cast<std::size_t>(rows)) {
  assert(columns > 0 && rows > 0);
  for (std::size_t m = columns_;; m = (m + 1) / 2) {
    Level level;
    level.even.resize((m + 1) / 2, rows_);
    level.odd.resize(m / 2, rows_);
    level.even_odd.resize(m / 2, rows_);
    level.odd_even.resize(m / 2, rows_);  // one more than needed when m is even: stays zero
    level.left_weight.assign((m / 2) * rows_, 0.0);
    level.right_weight.assign((m / 2) * rows_, 0.0);
    level.work.assign(((m + 1) / 2) * rows_, 0.0);
    levels_.push_back(std::move(level));
    if (m == 1) break;
  }
}

void Multigrid::build(const FluxOperator& op) {
  assert(static_cast<std::size_t>(op.columns) == columns_ && static_cast<std::size_t>(op.rows) == rows_);
  Level& finest = levels_.front();
  const std::size_t odds = finest.odd.count;
  for (std::size_t j = 0; j < rows_; ++j) {
    const std::size_t row = j * columns_;
    for (std::size_t i = 0; i < columns_; ++i) {
      const std::size_t c = row + i;
      double diagonal = op.shunt[c] + op.east[c] + op.south[c];
      if (i > 0) diagonal += op.east[c - 1];
      if (j > 0) diagonal += op.south[c - columns_];
      Lines& lines = i % 2 == 0 ? finest.even : finest.odd;
      const std::size_t k = j * lines.count + i / 2;
      lines.diagonal[k] = diagonal;
      lines.below[k] = -op.south[c];
      if (i + 1 < columns_) {
        Coupling& coupling = i % 2 == 0 ? finest.even_odd : finest.odd_even;
        coupling.level[j * odds + i / 2] = -op.east[c];
      }
    }
  }
  for (std::size_t depth = 0; depth < levels_.size(); ++depth) {
    Level& level = levels_[depth];
    level.even.factorise(rows_);
    if (level.odd.count == 0) break;
    level.odd.factorise(rows_);
    coarsen(level, levels_[depth + 1]);
  }
}

// Interpolation weights, then the Galerkin product P^T A P with P = (identity on even; weights on odd).
void Multigrid::coarsen(Level& fine, Level& coarse) const {
  const std::size_t odds = fine.odd.count;
  const std::size_t evens = fine.even.count;
  for (const bool left : {true, false}) {
    const Coupling& side = left ? fine.even_odd : fine.odd_even;
    for (std::size_t j = 0; j < rows_; ++j) {
      for (std::size_t q = 0; q < odds; ++q) {
        // row sum of the coupling block of odd row j to the neighbouring even column
        double sum = side.level[j * odds + q];
        const auto& from_below = left ? side.up : side.down;
        const auto& from_above = left ? side.down : side.up;
        if (left) {
          if (j + 1 < rows_) sum += from_below[(j + 1) * odds + q];  // (left j + 1, right j)
          if (j > 0) sum += from_above[(j - 1) * odds + q];          // (left j - 1, right j)
        } else {
          sum += from_below[j * odds + q] + from_above[j * odds + q];
        }
        fine.odd.b[j * odds + q] = -sum;
      }
    }
    fine.odd.solve(rows_, fine.odd.b.data());
    (left ? fine.left_weight : fine.right_weight) = fine.odd.x;
  }
  const double* wl = fine.left_weight.data();
  const double* wr = fine.right_weight.data();
  const double* d = fine.odd.diagonal.data();
  const double* s = fine.odd.below.data();
  const Coupling& c = fine.even_odd;
  const Coupling& e = fine.odd_even;
  const std::size_t coarse_odds = coarse.odd.count;
  for (std::size_t j = 0; j < rows_; ++j) {
    const bool last = j + 1 == rows_;
    for (std::size_t k = 0; k < evens; ++k) {
      double diagonal = fine.even.diagonal[j * evens + k];
      double below = fine.even.below[j * evens + k];
      if (k < odds) {  // the odd column to the east, weight wl
        const std::size_t o = j * odds + k;
        diagonal += wl[o] * (2 * c.level[o] + wl[o] * d[o]);
        if (!last) {
          const std::size_t n = o + odds;
          below += c.down[o] * wl[n] + wl[o] * c.up[n] + wl[o] * s[o] * wl[n];
        }
      }
      if (k > 0 && k - 1 < odds) {  // the odd column to the west, weight wr; its coupling is seen from the odd side
        const std::size_t o = j * odds + k - 1;
        diagonal += wr[o] * (2 * e.level[o] + wr[o] * d[o]);
        if (!last) {
          const std::size_t n = o + odds;
          below += e.up[n] * wr[n] + wr[o] * e.down[o] + wr[o] * s[o] * wr[n];
        }
      }
      Lines& lines = k % 2 == 0 ? coarse.even : coarse.odd;
      lines.diagonal[j * lines.count + k / 2] = diagonal;
      lines.below[j * lines.count + k / 2] = last ? 0.0 : below;
      if (k + 1 < evens) {  // to the next even column, through the odd one between
        const std::size_t o = j * odds + k;
        Coupling& coupling = k % 2 == 0 ? coarse.even_odd : coarse.odd_even;
        const std::size_t t = j * coarse_odds + k / 2;
        coupling.level[t] = c.level[o] * wr[o] + wl[o] * e.level[o] + wl[o] * d[o] * wr[o];
        coupling.down[t] = 0;
        coupling.up[t] = 0;
        if (!last) {
          const std::size_t n = o + odds;
          coupling.down[t] = c.down[o] * wr[n] + wl[o] * e.down[o] + wl[o] * s[o] * wr[n];
        }
        if (j > 0) {
          const std::size_t a = o - odds;
          coupling.up[t] = c.up[o] * wr[a] + wl[o] * e.up[o] + wl[o] * s[a] * wr[a];
        }
      }
    }
  }
}

// out = b - (coupling to the other colour) x, for the odd columns.
void Multigrid::subtract_even(const Level& level, bool five_point, double* out) const {
  const std::size_t odds = level.odd.count;
  const std::size_t evens = level.even.count;
  const std::size_t pairs = evens - 1;  // odd columns with an even one to the east
  const Coupling& c = level.even_odd;
  const Coupling& e = level.odd_even;
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* __restrict b = level.odd.b.data() + j * odds;
    const double* __restrict x = level.even.x.data() + j * evens;
    const double* __restrict cl = c.level.data() + j * odds;
    const double* __restrict el = e.level.data() + j * odds;
    double* __restrict o = out + j * odds;
    for (std::size_t q = 0; q < odds; ++q) o[q] = b[q] - cl[q] * x[q];
    for (std::size_t q = 0; q < pairs; ++q) o[q] -= el[q] * x[q + 1];
    if (five_point) continue;
    if (j + 1 < rows_) {
      const double* __restrict below = x + evens;
      const double* __restrict cu = c.up.data() + (j + 1) * odds;
      const double* __restrict ed = e.down.data() + j * odds;
      for (std::size_t q = 0; q < odds; ++q) o[q] -= cu[q] * below[q];
      for (std::size_t q = 0; q < pairs; ++q) o[q] -= ed[q] * below[q + 1];
    }
    if (j > 0) {
      const double* __restrict above = x - evens;
      const double* __restrict cd = c.down.data() + (j - 1) * odds;
      const double* __restrict eu = e.up.data() + j * odds;
      for (std::size_t q = 0; q < odds; ++q) o[q] -= cd[q] * above[q];
      for (std::size_t q = 0; q < pairs; ++q) o[q] -= eu[q] * above[q + 1];
    }
  }
}

// The same for the even columns; `from_right_side` false leaves b out (the residual after the even columns were solved).
void Multigrid::subtract_odd(const Level& level, bool five_point, bool from_right_side, double* out) const {
  const std::size_t odds = level.odd.count;
  const std::size_t evens = level.even.count;
  const std::size_t pairs = evens - 1;
  const Coupling& c = level.even_odd;
  const Coupling& e = level.odd_even;
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* __restrict b = level.even.b.data() + j * evens;
    const double* __restrict x = level.odd.x.data() + j * odds;
    const double* __restrict cl = c.level.data() + j * odds;
    const double* __restrict el = e.level.data() + j * odds;
    double* __restrict o = out + j * evens;
    if (from_right_side) {
      for (std::size_t k = 0; k < evens; ++k) o[k] = b[k];
    } else {
      for (std::size_t k = 0; k < evens; ++k) o[k] = 0;
    }
    for (std::size_t q = 0; q < odds; ++q) o[q] -= cl[q] * x[q];
    for (std::size_t q = 0; q < pairs; ++q) o[q + 1] -= el[q] * x[q];
    if (five_point) continue;
    if (j + 1 < rows_) {
      const double* __restrict below = x + odds;
      const double* __restrict cd = c.down.data() + j * odds;
      const double* __restrict eu = e.up.data() + (j + 1) * odds;
      for (std::size_t q = 0; q < odds; ++q) o[q] -= cd[q] * below[q];
      for (std::size_t q = 0; q < pairs; ++q) o[q + 1] -= eu[q] * below[q];
    }
    if (j > 0) {
      const double* __restrict above = x - odds;
      const double* __restrict cu = c.up.data() + j * odds;
      const double* __restrict ed = e.down.data() + (j - 1) * odds;
      for (std::size_t q = 0; q < odds; ++q) o[q] -= cu[q] * above[q];
      for (std::size_t q = 0; q < pairs; ++q) o[q + 1] -= ed[q] * above[q];
    }
  }
}

void Multigrid::descend(std::size_t depth) {
  Level& level = levels_[depth];
  const bool five_point = depth == 0;
  level.even.solve(rows_, level.even.b.data());
  if (level.odd.count == 0) return;
  double* work = level.work.data();
  subtract_even(level, five_point, work);
  level.odd.solve(rows_, work);

  // The odd columns have no residual now, so restriction takes the even ones as they are.
  subtract_odd(level, five_point, false, work);
  Level& coarse = levels_[depth + 1];
  const std::size_t evens = level.even.count;
  const std::size_t coarse_evens = coarse.even.count;
  const std::size_t coarse_odds = coarse.odd.count;
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* from = work + j * evens;
    for (std::size_t q = 0; q < coarse_evens; ++q) coarse.even.b[j * coarse_evens + q] = from[2 * q];
    for (std::size_t q = 0; q < coarse_odds; ++q) coarse.odd.b[j * coarse_odds + q] = from[2 * q + 1];
  }
  descend(depth + 1);
  for (std::size_t j = 0; j < rows_; ++j) {
    double* to = level.even.x.data() + j * evens;
    for (std::size_t q = 0; q < coarse_evens; ++q) to[2 * q] += coarse.even.x[j * coarse_evens + q];
    for (std::size_t q = 0; q < coarse_odds; ++q) to[2 * q + 1] += coarse.odd.x[j * coarse_odds + q];
  }

  // Solving the odd columns exactly from the corrected even ones interpolates and smooths at once.
  subtract_even(level, five_point, work);
  level.odd.solve(rows_, work);
  subtract_odd(level, five_point, true, work);
  level.even.solve(rows_, work);
}

void Multigrid::cycle(std::span<const double> residual, std::span<double> correction) {
  Level& finest = levels_.front();
  const std::size_t evens = finest.even.count;
  const std::size_t odds = finest.odd.count;
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* from = residual.data() + j * columns_;
    for (std::size_t q = 0; q < evens; ++q) finest.even.b[j * evens + q] = from[2 * q];
    for (std::size_t q = 0; q < odds; ++q) finest.odd.b[j * odds + q] = from[2 * q + 1];
  }
  descend(0);
  for (std::size_t j = 0; j < rows_; ++j) {
    double* to = correction.data() + j * columns_;
    for (std::size_t q = 0; q < evens; ++q) to[2 * q] = finest.even.x[j * evens + q];
    for (std::size_t q = 0; q < odds; ++q) to[2 * q + 1] = finest.odd.x[j * odds + q];
  }
}

}  // namespace dryfront
