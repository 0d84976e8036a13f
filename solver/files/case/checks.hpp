// What has to hold between the values of a case, beyond the range of each.
#pragma once

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// Adds a problem, with the place of the offending value in `document`, for whatever keeps the case from being meant:
// sizes that do not fit into each other, probes outside, values that a kind of electrode, waveform or source needs and
// lacks, names and labels used twice, names unfit for the groups of a run file, nowhere for the current to go. What
// would be judged by a value that is a problem already is not judged.
void check_case(const Case& c, const toml::table& document, CaseProblems& problems);

}  // namespace dryfront
