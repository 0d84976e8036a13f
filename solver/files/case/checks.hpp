// What has to hold between the values of a case, beyond the range of each.
#pragma once

#include <toml++/toml.h>

#include "simulation/case.hpp"

namespace dryfront {

// Throws CaseError, with the place of the offending value in `document`, when the case cannot be meant: sizes that do
// not fit into each other, probes outside, values that a kind of electrode, waveform or source needs and lacks, names
// used twice or unfit for the groups of a run file, nowhere for the current to go.
void check_case(const Case& c, const toml::table& document);

}  // namespace dryfront
