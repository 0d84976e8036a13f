// What every command on one case takes.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "commands/command.hpp"
#include "files/case/case_warning.hpp"
#include "report/console.hpp"

namespace dryfront {

struct CaseArguments {
  std::string path;
  std::vector<std::string> overrides;  // key.path=value
};
void add_case_arguments(CLI::App& command, CaseArguments& arguments);

// --threads; every core when it is not given.
void add_threads(CLI::App& command, int& threads);

// The tissue library of this installation.
std::filesystem::path tissue_folder();

// Reads the case with the tissue library of this installation and warns of what is odd in it: odd_value_warnings() and
// tissues that hardly count as conductors. Throws CaseError (see conductor_warnings too), FileError.
JudgedCase read_judged_case(const CaseArguments& arguments, const Console& console);

}  // namespace dryfront
