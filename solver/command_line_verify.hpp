// The command verify: the built-in checks against exact solutions.
#pragma once

#include <CLI/CLI.hpp>

#include "command_line.hpp"

namespace dryfront {

void add_verify(CLI::App& app, Action& chosen);

}  // namespace dryfront
