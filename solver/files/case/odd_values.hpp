// What is legal in a case and hardly meant.
#pragma once

#include <string>
#include <vector>

#include <toml++/toml.h>

#include "files/case/case_warning.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// One warning for each of these, with its place in `document`, from which the case was read:
//   - A source that holds a power (constant_power, temperature, table) raises its voltage as the root of the load,
//     without end; no real source does that under a contact that dries (spots or gap, where water boils off). A current
//     limit bounds no voltage; an unregulated source has its open-circuit voltage and a voltage source its voltage.
//   - A burst of half a cycle of the carrier or less: its crest factor is that of whole cycles.
//   - A temperature above 60 C at the start or around: at such a one tissue coagulates by itself, and 100 F is 38 C.
//   - A key of a source beside a kind that does not use it, where a file states both: whoever changes the kind by
//     --set knows what becomes idle.
//   - A peak limit with which an unregulated source cannot give its setting to its rated load.
std::vector<CaseWarning> odd_value_warnings(const Case& c, const toml::table& document);

}  // namespace dryfront
