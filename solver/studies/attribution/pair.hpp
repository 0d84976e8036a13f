// Which two modes of a case are set against each other.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>

#include "simulation/case.hpp"

namespace dryfront {

// The mode with the lowest crest factor and the one with the highest, the first of those of equal rank, as indices; when
// all crest factors are equal, the first mode and the first that differs from it. Nothing when no two modes differ.
std::optional<std::pair<std::size_t, std::size_t>> extreme_modes(const Case& c);

// The case with two modes only. `names` is "A,B"; empty: the extreme modes. `case_path` stands in messages.
// Throws CaseError: one mode, an unknown name, not two names, two modes that differ in nothing the model sees.
Case case_of_two(const Case& c, const std::string& names, const std::string& case_path);

}  // namespace dryfront
