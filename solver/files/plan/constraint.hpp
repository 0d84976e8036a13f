// Conditions on the axes of a plan, written as text: "setting * duty <= 30", "low < high".
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "files/plan/plan_file.hpp"

namespace dryfront {

// What is wrong with the text of a condition, and with what it was mistaken for.
struct ConstraintFault {
  std::string what;
  std::string nearest;
};

// Two sides with <, <=, >, >=, == or != between them; a side is an axis or a number, or two of them with +, -, * or /
// between. On a fault `constraint` is left half read.
std::optional<ConstraintFault> parse_constraint(const std::string& text, const std::vector<std::string>& axes,
                                                Constraint& constraint);

}  // namespace dryfront
