// What a command is: a function that registers its name and options with the command line and, once the user has picked
// it, says what is to be done.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>

namespace dryfront {

inline constexpr int exit_done = 0;
inline constexpr int exit_usage = 1;
inline constexpr int exit_case = 2;
inline constexpr int exit_numbers = 3;
inline constexpr int exit_file = 4;
// Of a run that a signal ended: 128 + its number, as shells expect.
constexpr int exit_of_signal(int signal) { return 128 + signal; }

// What the chosen command does; the exit code comes back.
using Action = std::function<int()>;

using AddCommand = void(CLI::App& app, Action& chosen);

}  // namespace dryfront
