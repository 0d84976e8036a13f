// What the commands sweep and merge share.
#pragma once

#include <filesystem>
#include <string>

#include "report/console.hpp"
#include "studies/sweep/folder.hpp"
#include "studies/sweep/journal.hpp"

namespace dryfront {

// "3/8", or "auto" for the place of this task in a job array: SLURM_ARRAY_TASK_ID, _MIN, _MAX and _COUNT. Throws
// CaseError when it is neither or the array has gaps.
Shard shard_from(const std::string& text);

// Merges the folder's journals into one table, analyses it, prints what it says unless `quiet`. Throws FileError,
// CaseError.
void merge_and_analyse(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                       const Console& console, bool quiet);

}  // namespace dryfront
