// An attribution in sentences to say aloud, with the numbers of the case.
#pragma once

#include <string>
#include <vector>

#include "studies/attribution/quantities.hpp"

namespace dryfront {

// Of a player in which the modes differ: what differs, and its share of the difference in the principal depth.
std::string player_sentence(const Attribution& attribution, Player player);

// What was set, what was delivered and into which load; then one for every player with a share, one for all without,
// and one for the conditions.
std::vector<std::string> sentences(const Attribution& attribution);

}  // namespace dryfront
