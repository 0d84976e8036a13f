// A case or a plan with what every key of it means.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "files/case/key_table.hpp"

namespace dryfront {

// The TOML of `bare` with comments from `sections`: above each section what it is; above each key, where it first
// stands, what it means, its unit, what is allowed and its default; behind a section the keys it does not state, with
// their defaults; at the end the sections that are not there. `bare` has one key or section head a line; other lines
// stay as they are. A section [tissue.NAME] is that of path "tissue". A key with dots is a path through `others`. What
// `bare` states has to be in the tables: std::logic_error otherwise.
std::string commented_case(std::string_view bare, std::span<const Section> sections,
                           std::span<const Section> others = {});

}  // namespace dryfront
