// Which two modes of a case are set against each other.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>

#include "simulation/case.hpp"

namespace dryfront {

// Whether two modes differ in nothing that the model sees.
bool alike(const Case& c, const Mode& first, const Mode& second);

// The mode with the lowest crest factor and the one with the highest, the first of those of equal rank, as indices;
// when all crest factors are equal, the first mode and the first that is not alike. Nothing when no two modes differ.
std::optional<std::pair<std::size_t, std::size_t>> extreme_modes(const Case& c);

// The case with two modes only. `names` is "A,B"; empty: the extreme modes, the first and the last where none differs.
// `case_path` stands in messages. Throws CaseError: one mode, an unknown name, not two names.
Case case_of_two(const Case& c, const std::string& names, const std::string& case_path);

// Throws CaseError when the two modes of `two` are alike.
void require_difference(const Case& two, const std::string& case_path);

}  // namespace dryfront
