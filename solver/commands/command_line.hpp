// The command line: parses, runs the chosen command, turns a failure into a message and an exit code.
#pragma once

namespace dryfront {

// Returns the exit code; every failure is reported on standard error, here and nowhere else.
int command_line(int argc, char** argv);

}  // namespace dryfront
