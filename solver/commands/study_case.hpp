// The case of a study, which takes many runs: coarser than a single run unless it is asked to be as fine.
#pragma once

#include <string>

#include "commands/case_arguments.hpp"

namespace dryfront {

// Unless `fine`, what is finer in the case's grid and step than sweeps have it is coarsened to sweep resolution, but
// where
// --set says otherwise. Throws CaseError, FileError.
CaseArguments study_arguments(const CaseArguments& arguments, bool fine);

// Leaves out what a study does not look at: frames, and probes but those at which a source holds a temperature.
void leave_out_watching(Case& c);

// The case of study_arguments without them. Throws CaseError, FileError.
Case read_study_case(const CaseArguments& arguments, bool fine, const Console& console);

// "sweep resolution (grid.fine_mm = 0.05, ...)".
std::string resolution_text(const Case& c, bool fine);

// Says that a signal ended the study; its exit code.
int report_study_interrupt(const Console& console, int signal);

}  // namespace dryfront
