// Attribution: how much of a difference each of several changes accounts for, from the outcome of every combination.
//
// A coalition S is a set of players as bits, player k in bit k; value[S] is the outcome with the players of S changed.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace dryfront {

using Coalition = std::size_t;

inline constexpr std::size_t most_players = 16;

// What one player adds, over the orders in which the changes can be made.
struct PlayerShare {
  double share = 0;     // its Shapley value: the mean over all orders
  double first = 0;     // changed before all others: value[{k}] - value[{}]
  double last = 0;      // after all others: value[all] - value[all but k]
  double least = 0;     // of what it adds in any order
  double greatest = 0;  // of what it adds in any order
};

// Shapley values (Shapley 1953, "A value for n-person games"):
//   share_k = sum over S without k of |S|! (n - |S| - 1)!/n! (value[S + k] - value[S])
// They add up to value[all] - value[{}]. `value` holds 2^n numbers, n <= most_players (asserted); same unit.
std::vector<PlayerShare> player_shares(std::span<const double> value);

// Shapley interaction indices of pairs (Grabisch and Roubens 1999, Int. J. Game Theory 28:547):
//   I_kl = sum over S without k, l of |S|! (n - |S| - 2)!/(n - 1)!
//          (value[S + k + l] - value[S + k] - value[S + l] + value[S])
// Positive where two players together add more than each by itself. Symmetric; the diagonal is zero.
std::vector<std::vector<double>> pair_interactions(std::span<const double> value);

}  // namespace dryfront
