#include "studies/attribution/shapley.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <random>

using namespace dryfront;

namespace {

double sum_of(const std::vector<PlayerShare>& shares) {
  return std::accumulate(shares.begin(), shares.end(), 0.0,
                         [](double sum, const PlayerShare& s) { return sum + s.share; });
}

}  // namespace

TEST_CASE("the glove game is shared as in the textbook: 2/3, 1/6, 1/6") {
  // One player has a left glove, two have a right one; a pair is worth 1 (Shapley and Shubik 1969; the value
  // second-hand, and by counting: of six orders the first player completes a pair in four, each other one in one).
  std::vector<double> value(8);
  for (Coalition s = 0; s < 8; ++s) value[s] = (s & 1U) != 0 && (s & 6U) != 0 ? 1 : 0;
  const auto shares = player_shares(value);
  CHECK(shares[0].share == Approx(2.0 / 3).epsilon(1e-15));
  CHECK(shares[1].share == Approx(1.0 / 6).epsilon(1e-15));
  CHECK(shares[2].share == Approx(1.0 / 6).epsilon(1e-15));
  CHECK(shares[0].first == 0);
  CHECK(shares[0].last == 1);
  CHECK(shares[1].last == 0);
  CHECK(shares[1].greatest == 1);
  CHECK(shares[1].least == 0);
}

TEST_CASE("two players who are worth something only together share it and interact by all of it") {
  // Unanimity game of players 0 and 2: share 1/2 each, interaction 1 (Grabisch and Roubens 1999, by definition).
  std::vector<double> value(8);
  for (Coalition s = 0; s < 8; ++s) value[s] = (s & 5U) == 5U ? 1 : 0;
  const auto shares = player_shares(value);
  const auto interaction = pair_interactions(value);
  CHECK(shares[0].share == Approx(0.5));
  CHECK(shares[1].share == 0);
  CHECK(shares[2].share == Approx(0.5));
  CHECK(interaction[0][2] == Approx(1));
  CHECK(interaction[2][0] == interaction[0][2]);
  CHECK(interaction[0][1] == 0);
  CHECK(interaction[1][1] == 0);
}

TEST_CASE("what adds up is shared as it adds up, in any order, without interactions") {
  const std::vector<double> worth{0.7, -1.3, 0.0, 2.1};
  std::vector<double> value(16, 5.0);
  for (Coalition s = 0; s < 16; ++s) {
    for (std::size_t k = 0; k < 4; ++k) value[s] += (s >> k & 1U) != 0 ? worth[k] : 0.0;
  }
  const auto shares = player_shares(value);
  const auto interaction = pair_interactions(value);
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(shares[k].share == Approx(worth[k]).margin(1e-14));
    CHECK(shares[k].least == Approx(worth[k]).margin(1e-14));
    CHECK(shares[k].greatest == Approx(worth[k]).margin(1e-14));
    for (std::size_t l = 0; l < 4; ++l) CHECK(std::abs(interaction[k][l]) < 1e-14);
  }
}

TEST_CASE("shares add up to the difference to round-off, for up to six players") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> uniform(-1, 1);
  for (std::size_t players = 0; players <= 6; ++players) {
    std::vector<double> value(std::size_t{1} << players);
    for (double& v : value) v = uniform(random);
    const auto shares = player_shares(value);
    REQUIRE(shares.size() == players);
    CHECK(std::abs(sum_of(shares) - (value.back() - value.front())) < 1e-14);
    for (const PlayerShare& s : shares) {
      CHECK(s.least <= s.share);
      CHECK(s.share <= s.greatest);
    }
  }
}
