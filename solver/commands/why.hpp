// The commands that set two modes of a case against each other: why, bases; and find.
#pragma once

#include "commands/command_line.hpp"
#include "studies/search/finder.hpp"

namespace dryfront {

// Shares of what differs between two modes in the difference of their results.
void add_why(CLI::App& app, Action& chosen);
// The depths of two modes on every basis, and the activation at which their order turns.
void add_bases(CLI::App& app, Action& chosen);
// The setting or the activation for a wanted depth, the largest setting below striking.
void add_find(CLI::App& app, Action& chosen);

// The arguments of a study: unless `fine`, what is finer in the case's grid and step than sweeps have it is coarsened to
// sweep resolution, but where --set says otherwise. Throws CaseError, FileError.
CaseArguments study_arguments(const CaseArguments& arguments, bool fine);

// The case of a study: as of study_arguments, without probes and frames. Throws CaseError, FileError.
Case read_study_case(const CaseArguments& arguments, bool fine, const Console& console);

// "sweep resolution (grid.fine_mm = 0.05, ...)".
std::string resolution_text(const Case& c, bool fine);

// The exit code of a study that a signal ended.
int report_study_interrupt(const Console& console, int signal);

}  // namespace dryfront
