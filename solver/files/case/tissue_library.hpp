// The tissue library: one file NAME.toml per tissue, holding [tissue.NAME] with every number and the source of each.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"
#include "physics/tissue.hpp"
#include "simulation/case.hpp"

namespace dryfront {

struct TissueEntry {
  Tissue tissue;
  std::optional<DamagePair> damage;  // the tissue's usual pair
};

// Names of the library's tissues in alphabetical order; none when there is no such directory.
std::vector<std::string> library_names(const std::filesystem::path& directory);

// One tissue of the library. Throws FileError when it cannot be read, CaseError with all that is wrong with it: a file
// that holds something else, a number left out, and a number without a line "key: source" in its `source`.
TissueEntry library_tissue(const std::filesystem::path& directory, const std::string& name);

// A [tissue.NAME] of a case on top of the library's entry, or a new one when `base` is empty. Numbers that the case
// changes lose the library's source; `source` then says so.
TissueEntry case_tissue(const toml::table& table, const std::string& name, const std::optional<TissueEntry>& base,
                        CaseProblems& problems);

}  // namespace dryfront
