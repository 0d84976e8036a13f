// One axis of a plan: the table [axis.NAME].
#pragma once

#include <string>
#include <vector>

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"
#include "files/plan/plan_file.hpp"

namespace dryfront {

// A value in TOML syntax, as an override wants it.
std::string toml_text(const toml::node& value);
AxisValue axis_value(const toml::node& value);

// The axis in `table`, which is axis.NAME of the plan `document`. Its value in the base case is left open. Where
// something is a problem the axis is incomplete.
PlanAxis read_axis(const toml::table& document, const std::string& name, const toml::table& table,
                   CaseProblems& problems);

// The values that have to be tried to know that an axis can be set: its ends, or each of its values.
std::vector<std::string> ends_of(const PlanAxis& axis);

// The number that all `paths` (as of --set) lead to in a document; not a number where they lead nowhere or to several.
double common_number(const toml::table& document, const std::vector<std::string>& paths);

}  // namespace dryfront
