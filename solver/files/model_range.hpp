// What is said of a mode that passed the temperature up to which the model knows tissue.
#pragma once

#include <string>

#include "simulation/record.hpp"

namespace dryfront {

// Marks a depth that rests on what the model computed past its range.
inline constexpr const char* past_range_mark = "*";

// One sentence: when and where it first passed, the peak, and which depths rest on it. Empty where it did not. The only
// wording of it: printed by the commands, kept in summary and run file, and shown by figures, page and handout.
std::string model_range_sentence(const ModeRecord& record);

}  // namespace dryfront
