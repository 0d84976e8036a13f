// What figures and page share: which modes stand left and right.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace dryfront {

// --left, --right, --quiet.
void add_drawing_options(CLI::App& command, std::string& left, std::string& right, bool& quiet);

}  // namespace dryfront
