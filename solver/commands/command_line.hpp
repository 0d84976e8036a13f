// The command line: which commands there are, how a failure becomes an exit code. A command is one add_... function that
// registers its options and sets `chosen` when the user picked it.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "report/console.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// Exit codes. An interrupted run exits with 128 + the signal's number, as shells expect.
inline constexpr int exit_done = 0;
inline constexpr int exit_usage = 1;
inline constexpr int exit_case = 2;
inline constexpr int exit_numbers = 3;
inline constexpr int exit_file = 4;

// What the chosen command does; the exit code comes back.
using Action = std::function<int()>;

void add_run(CLI::App& app, Action& chosen);
void add_check(CLI::App& app, Action& chosen);
void add_keys(CLI::App& app, Action& chosen);

// Parses, runs the chosen command, reports every failure on standard error in one place.
int command_line(int argc, char** argv);

// The arguments every command on one case takes.
struct CaseArguments {
  std::string path;
  std::vector<std::string> overrides;  // key.path=value
};
void add_case_arguments(CLI::App& command, CaseArguments& arguments);

// Reads the case with the tissue library of this installation and judges whether its tissues conduct well enough to be
// taken as conductors: omega eps / sigma above 0.1 is warned of, above 1 refused. Throws CaseError, FileError.
Case read_judged_case(const CaseArguments& arguments, const Console& console);

// --threads; every core when it is not given.
void add_threads(CLI::App& command, int& threads);

}  // namespace dryfront
