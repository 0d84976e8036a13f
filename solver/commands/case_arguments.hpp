// What every command on one case takes.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "commands/command.hpp"
#include "report/console.hpp"
#include "simulation/case.hpp"

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

// Reads the case with the tissue library of this installation and warns of tissues that hardly count as conductors
// and of sources without a highest voltage.
// Throws CaseError (see conductor_warnings too), FileError.
Case read_judged_case(const CaseArguments& arguments, const Console& console);

}  // namespace dryfront
