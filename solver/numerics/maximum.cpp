#include "numerics/maximum.hpp"

#include <nlopt.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <memory>

namespace dryfront {
namespace {

// What a search carries through the library's C interface.
struct Search {
  const BoxFunction& f;
  Maximum best;
};

constexpr double nowhere = -1e300;  // minus infinity, as the library can compare it

double value_at(unsigned count, const double* x, double* gradient, void* data) {
  auto& search = *static_cast<Search*>(data);
  const std::span<const double> at(x, count);
  double value = search.f(at, gradient == nullptr ? std::span<double>() : std::span<double>(gradient, count));
  if (!(value > nowhere)) value = nowhere;
  if (value > search.best.value) search.best = {{at.begin(), at.end()}, value};
  return value;
}

Maximum found(nlopt_algorithm algorithm, const BoxFunction& f, const Box& box, std::vector<double> start,
              double tolerance, int most) {
  assert(start.size() == box.lower.size() && start.size() == box.upper.size());
  for (std::size_t k = 0; k < start.size(); ++k) start[k] = std::clamp(start[k], box.lower[k], box.upper[k]);
  const std::unique_ptr<nlopt_opt_s, decltype(&nlopt_destroy)> optimiser(
      nlopt_create(algorithm, static_cast<unsigned>(start.size())), &nlopt_destroy);
  if (optimiser == nullptr) throw std::bad_alloc();
  Search search{f, {start, -std::numeric_limits<double>::infinity()}};
  nlopt_set_max_objective(optimiser.get(), value_at, &search);
  nlopt_set_lower_bounds(optimiser.get(), box.lower.data());
  nlopt_set_upper_bounds(optimiser.get(), box.upper.data());
  nlopt_set_xtol_abs1(optimiser.get(), tolerance);
  nlopt_set_maxeval(optimiser.get(), most);
  double value = 0;
  // A search that ends by round-off has found what it could: the best point met counts.
  nlopt_optimize(optimiser.get(), start.data(), &value);
  return search.best;
}

}  // namespace

Maximum climb_by_gradient(const BoxFunction& f, const Box& box, std::vector<double> start, double tolerance, int most) {
  return found(NLOPT_LD_LBFGS, f, box, std::move(start), tolerance, most);
}

Maximum climb(const BoxFunction& f, const Box& box, std::vector<double> start, double tolerance, int most) {
  return found(NLOPT_LN_SBPLX, f, box, std::move(start), tolerance, most);
}

}  // namespace dryfront
