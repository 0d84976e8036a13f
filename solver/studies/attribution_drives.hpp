// Which two drives of a case are set against each other.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>

#include "simulation/case.hpp"

namespace dryfront {

// The drive with the lowest crest factor and the one with the highest, the first of those of equal rank, as indices; when
// all crest factors are equal, the first drive and the first that differs from it. Nothing when no two drives differ.
std::optional<std::pair<std::size_t, std::size_t>> extreme_drives(const Case& c);

// The case with two drives only. `names` is "A,B"; empty: the extreme drives. `case_path` stands in messages.
// Throws CaseError: one drive, an unknown name, not two names, two drives that differ in nothing the model sees.
Case case_of_two(const Case& c, const std::string& names, const std::string& case_path);

}  // namespace dryfront
