#include "numerics/counter_random.hpp"

#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

namespace dryfront {

double unit_interval(std::uint64_t bits) { return (static_cast<double>(bits >> 11) + 0.5) * 0x1p-53; }

std::uint64_t scrambled(std::uint64_t key, std::uint64_t counter) {
  const auto mixed = [](std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  };
  constexpr std::uint64_t golden = 0x9e3779b97f4a7c15ULL;
  return mixed(mixed(key + golden) + (counter + 1) * golden);
}

double CounterRandom::normal() { return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * uniform()); }

}  // namespace dryfront
