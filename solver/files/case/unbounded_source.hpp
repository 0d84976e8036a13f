// Sources whose voltage nothing bounds once the contact has dried.
#pragma once

#include <string>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

// A source that holds a power (constant_power, temperature, table) raises its voltage as the root of the load, without
// end. No real source does that under a contact that dries (spots or gap, where water boils off): one warning for every
// such mode without a peak limit, with the key that sets it. A current limit bounds no voltage; an unregulated source
// has its open-circuit voltage, a voltage source its voltage and a flat range its upper end.
std::vector<std::string> unbounded_source_warnings(const Case& c);

}  // namespace dryfront
