// The commands sweep and merge.
#pragma once

#include <cstdint>
#include <string>

#include "commands/command_line.hpp"
#include "studies/sweep/journal.hpp"

namespace dryfront {

void add_sweep(CLI::App& app, Action& chosen);
void add_merge(CLI::App& app, Action& chosen);

// "3/8", or "auto" for the place of this task in a job array: SLURM_ARRAY_TASK_ID, _MIN, _MAX and _COUNT. Throws
// CaseError when it is neither or the array has gaps.
Shard shard_from(const std::string& text);

// "412 of 10000 (4.1 %), 2.3 runs/s, about 1 h 10 min left, 3 failed".
std::string sweep_progress_text(std::uint64_t done, std::uint64_t planned, double per_second, std::uint64_t failed);

}  // namespace dryfront
