// Every command. Each is one function in the file of its name; a new one is named in both lists here.
#pragma once

#include "commands/command.hpp"

namespace dryfront {

AddCommand add_new, add_run, add_check, add_keys, add_sweep, add_merge, add_verify, add_why, add_compare, add_find,
    add_fit, add_figures, add_page, add_pad, add_circuit, add_tissue;

// In the order of --help.
inline constexpr AddCommand* all_commands[] = {add_new,    add_run, add_check,   add_keys,  add_sweep, add_merge,
                                               add_verify, add_why, add_compare, add_find,  add_fit,   add_figures,
                                               add_page,   add_pad, add_circuit, add_tissue};

}  // namespace dryfront
