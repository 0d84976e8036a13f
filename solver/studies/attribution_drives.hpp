// Which two drives of a case are set against each other.
#pragma once

#include <string>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

// The case with two drives only. `names` is "A,B"; empty: the drive with the lowest crest factor against the one with the
// highest (the first of those of equal rank; when all crest factors are equal, the first drive against the first that
// differs from it). `case_path` stands in messages.
// Throws CaseError: one drive, an unknown name, not two names, two drives that differ in nothing the model sees.
Case case_of_two(const Case& c, const std::string& names, const std::string& case_path);

}  // namespace dryfront
