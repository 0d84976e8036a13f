// Values set from the command line: key.path=value.
#pragma once

#include <span>
#include <string>

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"

namespace dryfront {

// Puts every override into the document, in their order, the last one winning; whether the key exists and the value is
// allowed is found by the reader that follows, with the override as the place. `key.path` goes through tables by name
// and through lists of tables by number from 0, by the name of an entry, or by * for all of them. `value` is in TOML
// syntax; a bare word is taken as text.
// A problem is an override without =, one that is not TOML, a list entry that does not exist, and a former name on the
// way, which leads on as its new one.
void apply_overrides(toml::table& document, std::span<const std::string> overrides, CaseProblems& problems);

}  // namespace dryfront
