// How many specimens show what a run computes, for those who read run files.
#pragma once

#include <nlohmann/json.hpp>
#include <span>

#include "studies/specimens/needed.hpp"

namespace dryfront {

// { "computed", "alpha", "powers", "spreads", "most", "pairs": [ { "effect", "first", "second", "first_mm",
// "second_mm", "resolution_mm", "differ", "per_mode": a row per spread, a number per power, null: more than most } ] }
nlohmann::ordered_json specimens_json(const Case& c, std::span<const NeededSpecimens> needed);

}  // namespace dryfront
