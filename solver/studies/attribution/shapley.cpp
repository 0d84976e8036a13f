#include "studies/attribution/shapley.hpp"

#include <algorithm>
#include <bit>
#include <cassert>

namespace dryfront {

namespace {

std::size_t players_of(std::span<const double> value) {
  assert(std::has_single_bit(value.size()));
  const auto players = static_cast<std::size_t>(std::countr_zero(value.size()));
  assert(players <= most_players);
  return players;
}

std::size_t members(Coalition coalition) { return static_cast<std::size_t>(std::popcount(coalition)); }

double factorial(std::size_t n) {
  double product = 1;
  for (std::size_t k = 2; k <= n; ++k) product *= static_cast<double>(k);
  return product;
}

}  // namespace

std::vector<PlayerShare> player_shares(std::span<const double> value) {
  const std::size_t n = players_of(value);
  const Coalition all = value.size() - 1;
  std::vector<PlayerShare> shares(n);
  for (std::size_t k = 0; k < n; ++k) {
    const Coalition player = Coalition{1} << k;
    PlayerShare& share = shares[k];
    share.first = share.least = share.greatest = value[player] - value[0];
    share.last = value[all] - value[all ^ player];
    for (Coalition without = 0; without < value.size(); ++without) {
      if ((without & player) != 0) continue;
      const double added = value[without | player] - value[without];
      const std::size_t size = members(without);
      share.share += factorial(size) * factorial(n - size - 1) / factorial(n) * added;
      share.least = std::min(share.least, added);
      share.greatest = std::max(share.greatest, added);
    }
  }
  return shares;
}

std::vector<std::vector<double>> pair_interactions(std::span<const double> value) {
  const std::size_t n = players_of(value);
  std::vector<std::vector<double>> interaction(n, std::vector<double>(n, 0.0));
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t l = 0; l < k; ++l) {
      const Coalition one = Coalition{1} << k;
      const Coalition other = Coalition{1} << l;
      for (Coalition without = 0; without < value.size(); ++without) {
        if ((without & (one | other)) != 0) continue;
        const double beyond =
            value[without | one | other] - value[without | one] - value[without | other] + value[without];
        const std::size_t size = members(without);
        interaction[k][l] += factorial(size) * factorial(n - size - 2) / factorial(n - 1) * beyond;
      }
      interaction[l][k] = interaction[k][l];
    }
  }
  return interaction;
}

}  // namespace dryfront
