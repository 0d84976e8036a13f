// Whether the tissues of a case may be taken as conductors at the carrier frequencies of its modes.
#pragma once

#include <string>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

// The potential follows from conduction current alone; the displacement current omega eps / sigma times as large is
// left out. Above 0.1 that is worth a warning: one for every such tissue, at its worst mode. Above 1 sigma is no
// description of the tissue: throws CaseError with `place`, the case file.
std::vector<std::string> conductor_warnings(const Case& c, const std::string& place);

}  // namespace dryfront
