// What the circuit of the stray current answers, as text and as JSON.
#pragma once

#include <string>
#include <vector>

#include "files/json.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// Each mode with the tip as the case has it, then over turns of the lead with the tip touching and held open.
struct StrayCurrent {
  struct OverTurns {
    std::string mode;
    Tip tip = Tip::touching;
    std::vector<double> turns, share, stray;  // share of the return's current [-], stray current [A]
  };
  std::vector<CircuitAnswer> modes;
  std::vector<CircuitAnswer> other_tip;  // empty where the case does not give what that takes
  std::vector<OverTurns> over_turns;
};

// Throws std::invalid_argument as solve_circuit() does. The case has a circuit.
StrayCurrent stray_current(const Case& c);

std::string stray_current_text(const Case& c, const StrayCurrent& answers);
nlohmann::ordered_json stray_current_json(const Case& c, const StrayCurrent& answers, const std::string& version,
                                          const std::string& case_path);

}  // namespace dryfront
