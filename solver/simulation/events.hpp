// The moments a step must end at.
#pragma once

#include <vector>

#include "simulation/case.hpp"
#include "simulation/state.hpp"

namespace dryfront {

struct Event {
  Ticks time = 0;
  bool frame = false;
  bool switch_off = false;
};

// Frames at equal spacing, the switch of the current, the end; in order, each moment once. The last one is the end.
std::vector<Event> events_of(const Mode& mode, int frames);

}  // namespace dryfront
