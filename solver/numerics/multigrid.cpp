#include "numerics/multigrid.hpp"

#include <algorithm>
#include <cassert>
#include <cstring>

namespace dryfront {

namespace {

// Four neighbouring places of a field at once.
using Pack = double __attribute__((vector_size(32)));
constexpr std::size_t pack = 4;

Pack load(const double* from) {
  Pack values;
  std::memcpy(&values, from, sizeof values);
  return values;
}

void store(double* to, Pack values) { std::memcpy(to, &values, sizeof values); }

// Lines are solved side by side. On a narrow level up to `widest` packs of them stay in registers, so that their
// recurrences hide each other's latency; on a wide one whole rows stream through, which is what memory likes best.
constexpr std::size_t group = 2 * pack;  // of lines: every level's stride is so many, or a multiple
constexpr std::size_t widest = 10;       // packs
constexpr std::size_t streamed = 24;     // packs

// x = (L D L^T)^-1 right(place), for the lines of so many packs whose first row begins at `begin`.
template <std::size_t packs, class RightSide>
void eliminate(std::size_t begin, std::size_t rows, std::size_t stride, const double* lower, const double* pivot,
               double* x, RightSide right) {
  Pack carry[packs] = {};
  for (std::size_t j = 0, row = begin; j < rows; ++j, row += stride) {
#pragma GCC unroll 16
    for (std::size_t k = 0; k < packs; ++k) {
      const std::size_t at = row + k * pack;
      carry[k] = right(at) - load(lower + at) * carry[k];
      store(x + at, carry[k]);
    }
  }
  for (Pack& each : carry) each = Pack{};
  for (std::size_t j = rows; j-- > 0;) {
#pragma GCC unroll 16
    for (std::size_t k = 0; k < packs; ++k) {
      const std::size_t at = begin + j * stride + k * pack;
      carry[k] = load(x + at) * load(pivot + at) - load(lower + at + stride) * carry[k];
      store(x + at, carry[k]);
    }
  }
}

// The same for all lines of a level, a row at a time; x has a row of zeros on either side.
template <class RightSide>
void eliminate_rows(std::size_t begin, std::size_t rows, std::size_t stride, const double* lower, const double* pivot,
                    double* x, RightSide right) {
  for (std::size_t j = 0; j < rows; ++j) {
    const std::size_t row = begin + j * stride;
    for (std::size_t at = row; at < row + stride; at += pack) {
      store(x + at, right(at) - load(lower + at) * load(x + at - stride));
    }
  }
  for (std::size_t j = rows; j-- > 0;) {
    const std::size_t row = begin + j * stride;
    for (std::size_t at = row; at < row + stride; at += pack) {
      store(x + at, load(x + at) * load(pivot + at) - load(lower + at + stride) * load(x + at + stride));
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
    const std::size_t size = (rows_ + lead + 1) * level.stride + pack;
    for (Lines* lines : {&level.even, &level.odd}) {
      // Unused places are lines of their own with nothing in them.
      lines->diagonal.assign(size, 1.0);
      for (Field* field : {&lines->below, &lines->pivot, &lines->lower, &lines->x, &lines->b}) field->assign(size, 0.0);
    }
    for (Coupling* coupling : {&level.west, &level.east}) {
      for (Field* field : {&coupling->level, &coupling->down, &coupling->up}) field->assign(size, 0.0);
    }
    for (Field* field : {&level.west_weight, &level.east_weight}) field->assign(size, 0.0);
    level.row.assign(std::max(5 * level.stride, m), 0.0);
    levels_.push_back(std::move(level));
    if (m == 1) break;
  }
}

// L D L^T of every line at once, a row at a time.
void Multigrid::factorise(const Level& level, Lines& lines) const {
  const std::size_t stride = level.stride;
  double* pivot = lines.pivot.data();
  for (std::size_t j = 0; j < rows_; ++j) {
    const std::size_t row = (lead + j) * stride;
    for (std::size_t at = row; at < row + stride; at += pack) {
      const Pack above = load(lines.below.data() + at - stride);  // zero above the first row
      const Pack lower = above * load(pivot + at - stride);
      store(lines.lower.data() + at, lower);
      store(pivot + at, 1 / (load(lines.diagonal.data() + at) - above * lower));
    }
  }
}

// x = T^-1 right(place) for all lines
template <class RightSide>
void Multigrid::solve(const Level& level, const Lines& lines, Field& x, RightSide right) const {
  const std::size_t stride = level.stride;
  const double* lower = lines.lower.data();
  const double* pivot = lines.pivot.data();
  if (stride > streamed * pack) {
    eliminate_rows(lead * stride, rows_, stride, lower, pivot, x.data(), right);
    return;
  }
  // Blocks as equal as whole groups allow.
  const std::size_t groups = stride / group;
  const std::size_t blocks = (stride + widest * pack - 1) / (widest * pack);
  for (std::size_t block = 0; block < blocks; ++block) {
    const std::size_t first = groups * block / blocks;
    const std::size_t begin = lead * stride + first * group;
    switch (groups * (block + 1) / blocks - first) {
      case 1:
        eliminate<2>(begin, rows_, stride, lower, pivot, x.data(), right);
        break;
      case 2:
        eliminate<4>(begin, rows_, stride, lower, pivot, x.data(), right);
        break;
      case 3:
        eliminate<6>(begin, rows_, stride, lower, pivot, x.data(), right);
        break;
      case 4:
        eliminate<8>(begin, rows_, stride, lower, pivot, x.data(), right);
        break;
      default:
        eliminate<widest>(begin, rows_, stride, lower, pivot, x.data(), right);
        break;
    }
  }
}

void Multigrid::build(const FluxOperator& op) {
  assert(static_cast<std::size_t>(op.columns) == columns_ && static_cast<std::size_t>(op.rows) == rows_);
  Level& finest = levels_.front();
  double* __restrict diagonal = finest.row.data();
  for (std::size_t j = 0; j < rows_; ++j) {
    const double* __restrict east = op.east.data() + j * columns_;
    const double* __restrict south = op.south.data() + j * columns_;
    const double* __restrict shunt = op.shunt.data() + j * columns_;
    for (std::size_t i = 0; i < columns_; ++i) diagonal[i] = shunt[i] + east[i] + south[i];
    for (std::size_t i = 1; i < columns_; ++i) diagonal[i] += east[i - 1];
    if (j > 0) {
      const double* __restrict north = south - columns_;
      for (std::size_t i = 0; i < columns_; ++i) diagonal[i] += north[i];
    }
    const std::size_t even = (lead + j) * finest.stride;
    const std::size_t odd = even + 1;
    for (std::size_t q = 0; q < finest.odds; ++q) {
      finest.even.diagonal[even + q] = diagonal[2 * q];
      finest.odd.diagonal[odd + q] = diagonal[2 * q + 1];
      finest.even.below[even + q] = -south[2 * q];
      finest.odd.below[odd + q] = -south[2 * q + 1];
      finest.west.level[odd + q] = -east[2 * q];
      finest.east.level[odd + q] = -east[2 * q + 1];  // of the last column: zero
    }
    if (finest.evens > finest.odds) {
      finest.even.diagonal[even + finest.odds] = diagonal[2 * finest.odds];
      finest.even.below[even + finest.odds] = -south[2 * finest.odds];
    }
  }
  for (std::size_t depth = 0;; ++depth) {
    Level& level = levels_[depth];
    factorise(level, level.even);
    if (level.odds == 0) break;
    factorise(level, level.odd);
    if (depth == 0) {
      coarsen<true>(level, levels_[depth + 1]);
    } else {
      coarsen<false>(level, levels_[depth + 1]);
    }
  }
}

// weight = -T_odd^-1 (row sums of the coupling to one neighbour)
void Multigrid::find_weights(Level& level, const Coupling& side, Field& weight, bool five_point) const {
  const double* __restrict l = side.level.data();
  const double* __restrict d = side.down.data();
  const double* __restrict u = side.up.data();
  if (five_point) {
    solve(level, level.odd, weight, [=](std::size_t c) { return -load(l + c); });
  } else {
    solve(level, level.odd, weight, [=](std::size_t c) { return -(load(l + c) + load(d + c) + load(u + c)); });
  }
}

// Long: a row is read, multiplied and dealt out in one pass over memory, which bounds its speed.
// Interpolation weights, then the Galerkin product P^T A P with P = (identity on even; weights on odd), a row at a
// time.
template <bool five_point>
void Multigrid::coarsen(Level& fine, Level& coarse) const {
  find_weights(fine, fine.west, fine.west_weight, five_point);
  find_weights(fine, fine.east, fine.east_weight, five_point);
  const std::size_t stride = fine.stride;
  // Within an even column, and from it to the next even column to the east.
  double* diagonal = fine.row.data();
  double* below = diagonal + stride;
  double* level = below + stride;
  double* down = level + stride;
  double* up = down + stride;
  const double* even_diagonal = fine.even.diagonal.data();
  const double* even_below = fine.even.below.data();
  const double* odd_diagonal = fine.odd.diagonal.data();
  const double* odd_below = fine.odd.below.data();
  const double* ww = fine.west_weight.data();
  const double* we = fine.east_weight.data();
  const double* wl = fine.west.level.data();
  const double* wd = fine.west.down.data();
  const double* wu = fine.west.up.data();
  const double* el = fine.east.level.data();
  const double* ed = fine.east.down.data();
  const double* eu = fine.east.up.data();
  for (std::size_t j = 0; j < rows_; ++j) {
    const std::size_t row = (lead + j) * stride;
    // Of the even column at k, the odd column to the east is at k + 1 and has its west weight there; the one to the
    // west is at k. n is k one row further down.
    for (std::size_t k = row; k < row + stride; k += pack) {
      const std::size_t e = k + 1;
      const std::size_t n = k + stride;
      const Pack west_of_e = load(ww + e);
      const Pack east_of_k = load(we + k);
      const Pack e_diagonal = load(odd_diagonal + e);
      Pack in_column = load(even_below + k) + west_of_e * load(odd_below + e) * load(ww + n + 1) +
                       east_of_k * load(odd_below + k) * load(we + n);
      Pack to_lower = west_of_e * load(odd_below + e) * load(we + n + 1);
      Pack to_upper = west_of_e * load(odd_below + e - stride) * load(we + e - stride);
      if constexpr (!five_point) {
        // (even j, odd j + 1) is the odd column's entry to the row above it: up of row j + 1
        in_column += load(wu + n + 1) * load(ww + n + 1) + west_of_e * load(wd + e) + load(eu + n) * load(we + n) +
                     east_of_k * load(ed + k);
        to_lower += load(wu + n + 1) * load(we + n + 1) + west_of_e * load(ed + e);
        to_upper += load(wd + e - stride) * load(we + e - stride) + west_of_e * load(eu + e);
      }
      const std::size_t at = k - row;
      store(diagonal + at, load(even_diagonal + k) + west_of_e * (2 * load(wl + e) + west_of_e * e_diagonal) +
                               east_of_k * (2 * load(el + k) + east_of_k * load(odd_diagonal + k)));
      store(below + at, in_column);
      store(level + at, load(wl + e) * load(we + e) + west_of_e * (load(el + e) + e_diagonal * load(we + e)));
      store(down + at, to_lower);
      store(up + at, to_upper);
    }
    deal_row(diagonal, coarse, j, coarse.even.diagonal, coarse.odd.diagonal);
    deal_row(below, coarse, j, coarse.even.below, coarse.odd.below);
    // The entries of a pair are stored at its odd column. From an odd column to its east neighbour they are as
    // computed; from an even one to its east (odd) neighbour, down and up change places when seen from the odd column's
    // row.
    const std::size_t to = (lead + j) * coarse.stride + 1;
    const std::size_t pairs = fine.evens - 1;
    for (std::size_t q = 0; 2 * q < pairs; ++q) coarse.west.level[to + q] = level[2 * q];
    for (std::size_t q = 0; 2 * q + 1 < pairs; ++q) coarse.east.level[to + q] = level[2 * q + 1];
    if (j + 1 < rows_) {
      for (std::size_t q = 0; 2 * q < pairs; ++q) coarse.west.up[to + coarse.stride + q] = down[2 * q];
      for (std::size_t q = 0; 2 * q + 1 < pairs; ++q) coarse.east.down[to + q] = down[2 * q + 1];
    }
    if (j > 0) {
      for (std::size_t q = 0; 2 * q < pairs; ++q) coarse.west.down[to - coarse.stride + q] = up[2 * q];
      for (std::size_t q = 0; 2 * q + 1 < pairs; ++q) coarse.east.up[to + q] = up[2 * q + 1];
    }
  }
}

// Deals a row of the even columns of one level out to the even and odd columns of the next.
void Multigrid::deal_row(const double* __restrict natural, const Level& to, std::size_t j, Field& even,
                         Field& odd) const {
  double* __restrict e = even.data() + (lead + j) * to.stride;
  double* __restrict o = odd.data() + (lead + j) * to.stride + 1;
  for (std::size_t q = 0; q < to.odds; ++q) {
    e[q] = natural[2 * q];
    o[q] = natural[2 * q + 1];
  }
  if (to.evens > to.odds) e[to.odds] = natural[2 * to.odds];
}

// odd.x = T_odd^-1 (b_odd - A_odd,even x_even)
void Multigrid::smooth_odd(Level& level, bool five_point) const {
  const std::size_t stride = level.stride;
  const double* __restrict b = level.odd.b.data();
  const double* __restrict x = level.even.x.data();
  const double* __restrict wl = level.west.level.data();
  const double* __restrict el = level.east.level.data();
  if (five_point) {
    solve(level, level.odd, level.odd.x,
          [=](std::size_t o) { return load(b + o) - (load(wl + o) * load(x + o - 1) + load(el + o) * load(x + o)); });
    return;
  }
  const double* __restrict wd = level.west.down.data();
  const double* __restrict wu = level.west.up.data();
  const double* __restrict ed = level.east.down.data();
  const double* __restrict eu = level.east.up.data();
  solve(level, level.odd, level.odd.x, [=](std::size_t o) {
    const double* here = x + o;
    return load(b + o) - (load(wl + o) * load(here - 1) + load(el + o) * load(here)) -
           (load(wd + o) * load(here - 1 + stride) + load(ed + o) * load(here + stride)) -
           (load(wu + o) * load(here - 1 - stride) + load(eu + o) * load(here - stride));
  });
}

// Calls `use` with (A_even,odd x_odd) as a function of the place.
template <class Use>
void Multigrid::with_coupling_to_odd(const Level& level, bool five_point, Use use) const {
  const std::size_t stride = level.stride;
  const double* __restrict x = level.odd.x.data();
  const double* __restrict wl = level.west.level.data();
  const double* __restrict el = level.east.level.data();
  if (five_point) {
    use([=](std::size_t k) { return load(wl + k + 1) * load(x + k + 1) + load(el + k) * load(x + k); });
    return;
  }
  const double* __restrict wd = level.west.down.data();
  const double* __restrict wu = level.west.up.data();
  const double* __restrict ed = level.east.down.data();
  const double* __restrict eu = level.east.up.data();
  use([=](std::size_t k) {
    const std::size_t below = k + stride;
    const std::size_t above = k - stride;
    return (load(wl + k + 1) * load(x + k + 1) + load(el + k) * load(x + k)) +
           (load(wu + below + 1) * load(x + below + 1) + load(eu + below) * load(x + below)) +
           (load(wd + above + 1) * load(x + above + 1) + load(ed + above) * load(x + above));
  });
}

// even.x = T_even^-1 (b_even - A_even,odd x_odd)
void Multigrid::smooth_even(Level& level, bool five_point) const {
  const double* __restrict b = level.even.b.data();
  with_coupling_to_odd(level, five_point, [&](auto coupling) {
    solve(level, level.even, level.even.x, [=](std::size_t k) { return load(b + k) - coupling(k); });
  });
}

// Right side of the next level. After the odd columns were solved they have no residual, and that of the even ones,
// solved before, is what the odd ones have moved since: restriction takes it as it is.
void Multigrid::restrict_residual(Level& level, Level& coarse, bool five_point) const {
  with_coupling_to_odd(level, five_point, [&](auto coupling) {
    for (std::size_t j = 0; j < rows_; ++j) {
      const std::size_t at = (lead + j) * level.stride;
      double* __restrict row = level.row.data();
      for (std::size_t k = 0; k < level.stride; k += pack) store(row + k, -coupling(at + k));
      deal_row(row, coarse, j, coarse.even.b, coarse.odd.b);
    }
  });
}

void Multigrid::descend(std::size_t depth) {
  Level& level = levels_[depth];
  const bool five_point = depth == 0;
  const double* __restrict b = level.even.b.data();
  solve(level, level.even, level.even.x, [=](std::size_t k) { return load(b + k); });
  if (level.odds == 0) return;
  smooth_odd(level, five_point);
  Level& coarse = levels_[depth + 1];
  restrict_residual(level, coarse, five_point);
  descend(depth + 1);
  for (std::size_t j = 0; j < rows_; ++j) {
    double* __restrict to = level.even.x.data() + (lead + j) * level.stride;
    const double* __restrict e = coarse.even.x.data() + (lead + j) * coarse.stride;
    const double* __restrict o = coarse.odd.x.data() + (lead + j) * coarse.stride + 1;
    for (std::size_t q = 0; q < coarse.odds; ++q) {
      to[2 * q] += e[q];
      to[2 * q + 1] += o[q];
    }
    if (coarse.evens > coarse.odds) to[2 * coarse.odds] += e[coarse.odds];
  }
  // Solving the odd columns exactly from the corrected even ones interpolates and smooths at once.
  smooth_odd(level, five_point);
  smooth_even(level, five_point);
}

void Multigrid::cycle(std::span<const double> residual, std::span<double> correction) {
  Level& finest = levels_.front();
  for (std::size_t j = 0; j < rows_; ++j) {
    deal_row(residual.data() + j * columns_, finest, j, finest.even.b, finest.odd.b);
  }
  descend(0);
  for (std::size_t j = 0; j < rows_; ++j) {
    double* __restrict to = correction.data() + j * columns_;
    const double* __restrict e = finest.even.x.data() + (lead + j) * finest.stride;
    const double* __restrict o = finest.odd.x.data() + (lead + j) * finest.stride + 1;
    for (std::size_t q = 0; q < finest.odds; ++q) {
      to[2 * q] = e[q];
      to[2 * q + 1] = o[q];
    }
    if (finest.evens > finest.odds) to[2 * finest.odds] = e[finest.odds];
  }
}

}  // namespace dryfront
