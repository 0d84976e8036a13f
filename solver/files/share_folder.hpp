// Where the program's own files are.
#pragma once

#include <filesystem>

namespace dryfront {

// The folder that holds cases/ (with the tissue library in cases/tissue) and postproc/: the environment's
// DRYFRONT_SHARE when set, else share/dryfront beside the folder of this program, where an installation has it, else
// the source tree that the build folder's `source_tree` names. Empty when there is none.
std::filesystem::path share_folder();

}  // namespace dryfront
