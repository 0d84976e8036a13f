// The command verify: the built-in checks against exact solutions.
#pragma once

#include <CLI/CLI.hpp>

#include "commands/command_line.hpp"

namespace dryfront {

void add_verify(CLI::App& app, Action& chosen);

}  // namespace dryfront
