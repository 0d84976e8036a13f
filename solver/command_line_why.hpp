// The commands that set two drives of a case against each other: why, footings; and find.
#pragma once

#include "command_line.hpp"
#include "studies/finder.hpp"

namespace dryfront {

// Shares of the mechanisms in the difference between two drives.
void add_why(CLI::App& app, Action& chosen);
// The depths of two drives on every footing, and the dwell at which their order turns.
void add_footings(CLI::App& app, Action& chosen);
// The dial or the dwell for a wanted depth, the largest dial below striking.
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
