// The warning of a mode that passed the temperature up to which the model knows tissue.
#pragma once

#include "report/console.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// Warns with model_range_sentence(); says nothing of a mode that stayed within.
void warn_past_range(const Console& console, const ModeRecord& record);

}  // namespace dryfront
