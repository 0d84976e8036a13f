// Power against load in words: what the source of each mode delivers into which load.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "simulation/case.hpp"

namespace dryfront {

// A table for each mode: power, rms and peak voltage and current over loads from 1 to 10,000 ohm.
std::string power_load_text(const Case& c);

// The same as a list of {"ohm", "W", "V", "peak_V", "A"}.
nlohmann::ordered_json power_load_json(const Mode& mode);

}  // namespace dryfront
