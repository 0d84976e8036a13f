// The commands figures and page: pictures of run files. The work is done in postproc.
#pragma once

#include "commands/command_line.hpp"

namespace dryfront {

void add_figures(CLI::App& app, Action& chosen);
void add_page(CLI::App& app, Action& chosen);

}  // namespace dryfront
