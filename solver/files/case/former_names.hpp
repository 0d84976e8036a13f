// Names that keys, words and columns had before: an old case or plan is answered with what each is called now.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"
#include "files/case/key_table.hpp"

namespace dryfront {

struct FormerName {
  std::string_view was;
  std::string_view now;
  std::string_view note;  // what else has to be known; empty: nothing
};

// Every former name once.
std::span<const FormerName> former_names();

// The row of `name` whose new name is among `names`, so that a word is not taken for a key; null when there is none. To
// be asked only about a name that is not valid.
const FormerName* former_name(std::string_view name, std::span<const std::string> names);
// The row of `name`, whatever the new name belongs to.
const FormerName* former_name(std::string_view name);

// "it is called activation_s now", with the row's note.
std::string answer(const FormerName& row);

// Puts the new name in place of every former one in a case: sections, keys and words of choices. Each is a problem; the
// reader goes on as if the new name stood there.
void rename_former_names(toml::table& document, CaseProblems& problems);

// The same for the keys of one table at `path`.
void rename_former_keys(toml::table& table, std::span<const KeyInfo> keys, std::string_view path,
                        CaseProblems& problems);

}  // namespace dryfront
