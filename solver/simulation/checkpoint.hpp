// A mode between two steps: all that it takes to go on with the same bits as if it had not stopped.
#pragma once

#include <cstddef>

#include "simulation/ledger.hpp"
#include "simulation/record.hpp"
#include "simulation/state.hpp"

namespace dryfront {

// What a recorder has gathered so far.
struct Recording {
  ModeRecord record;
  Ledger ledger;  // summed over the steps
};

struct ModeCheckpoint {
  Recording recording;         // of a complete mode nothing else is looked at
  State state;                 // at the end of the last accepted step
  std::size_t event = 0;       // the next one, of events_of()
  std::size_t frames = 0;      // given so far
  double wanted_step = 0;      // of the step control [s]
  bool electric_fresh = true;  // the electric state was found for the fields as they are, not predicted
};

}  // namespace dryfront
