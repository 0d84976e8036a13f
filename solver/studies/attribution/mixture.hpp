// What two modes can differ in, and modes that are mixed from the two.
//
// A waveform acts on a simulation in three places and in no other: its crest factor divides the peak limit of the
// source (an rms limit), gaps strike by its striking function, and dried tissue breaks down by its crest factor. So a
// mode is taken apart without a rest into the players below, and each can be taken from either of two modes.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "numerics/enumeration.hpp"
#include "simulation/case.hpp"
#include "studies/attribution/shapley.hpp"

namespace dryfront {

enum class Player {
  source,          // power against load: kind, setting, rated load, table, current limit
  peak_limit,      // with the crest factor that divides it: the limit of the rms voltage
  arcing,          // striking function and strike voltage over crest factor; eschar follows
  breakdown,       // breakdown field over crest factor
  activation_time  // with the time watched after it
};
constexpr auto enumerators(Player) {
  return enumeration<Player>({{Player::source, "source"},
                              {Player::peak_limit, "peak_limit"},
                              {Player::arcing, "arcing"},
                              {Player::breakdown, "breakdown"},
                              {Player::activation_time, "activation_time"}});
}

// "peak limit" of Player::peak_limit.
std::string words(Player player);

// Limit of the rms voltage, peak limit over crest factor; infinite where the source has no peak limit.   [V]
double rms_limit(const Mode& mode);

// In which players two modes differ, in the players' order. Arcing and breakdown differ only where `physics` has them
// on; rms limits, crest factors and striking functions within 1e-12 are the same.
std::vector<Player> differences(const Physics& physics, const Mode& first, const Mode& second);

// The first mode with what `players` name taken from the second where the coalition has them: the first mode itself for
// the empty coalition, the second one itself for that of all `players`, when there are any.
Mode mixture(const Mode& first, const Mode& second, std::span<const Player> players, Coalition coalition);

// Everything that decides the run of a mode in a given case. Two runs are the same when these compare equal: whole
// structs are compared, so that a member added to one of them counts without being named here.
struct DecidesRun {
  Mode mode;
  Physics physics;
  bool operator==(const DecidesRun&) const = default;
};

// Without names, and without what cannot act: waveforms where nothing asks for them, numbers of another kind of source,
// eschar where no spark makes it.
DecidesRun what_decides(const Mode& mode, const Physics& physics);

}  // namespace dryfront
