// The command why: how much of the difference between two drives each mechanism accounts for.
#pragma once

#include "command_line.hpp"

namespace dryfront {

void add_why(CLI::App& app, Action& chosen);

}  // namespace dryfront
