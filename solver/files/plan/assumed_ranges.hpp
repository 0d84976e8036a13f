// The ranges of the numbers that had to be assumed, as the axes of a plan give them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "files/plan/plan_file.hpp"

namespace dryfront {

// What is drawn for one case, and what of the ranges is not.
struct AssumedRanges {
  std::vector<PlanAxis> axes;
  std::vector<std::string> held;     // keys that the user set
  std::vector<std::string> foreign;  // keys of tissues that the case does not have
};

// The tables [axis.NAME] of the plan in `file` that have a distribution and whose keys mean something in `c`; base is
// the value in `c`. Keys set by `overrides` (key.path=value) are held. Throws CaseError where an axis is wrong or none
// is left, FileError when the file cannot be read.
AssumedRanges read_assumed_ranges(const std::filesystem::path& file, const Case& c,
                                  const std::vector<std::string>& overrides);

}  // namespace dryfront
