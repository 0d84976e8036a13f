// The runner of a sweep: takes the points of a plan one after another, computes them on several threads, writes each
// finished one to the journal.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <vector>

#include "files/plan/plan_file.hpp"
#include "studies/sweep/design.hpp"
#include "studies/sweep/journal.hpp"

namespace dryfront {

// How far a sweep is.
struct SweepProgress {
  std::uint64_t planned = 0;   // rows this shard has to have in the end
  std::uint64_t earlier = 0;   // of them, those that earlier calls left
  std::uint64_t computed = 0;  // by this call, failed ones included
  std::uint64_t failed = 0;    // of all rows so far
  double elapsed = 0;          // [s]
};

struct SweepWork {
  std::filesystem::path folder;
  std::uint64_t plan_hash = 0;
  std::uint32_t columns = 0;
  Shard shard;
  int threads = 1;
  bool retry_failed = false;                              // failures that would come again are computed again too
  std::function<bool(std::uint64_t point)> lacks_file;    // a done point whose kept run is not there; may be empty
  const std::atomic<bool>* stop = nullptr;                // set to end early; runs in flight are given up
  std::function<void(const SweepProgress&)> on_progress;  // a few times a second, one at a time; may be empty
  // Computes a point; called from several threads at once. A row with status done and no values means: given up because
  // of `stop`. Failures of the run belong in the row; what is thrown (a full disk) ends the sweep.
  std::function<SweepRow(std::uint64_t point, const std::vector<AxisSetting>& settings)> compute;
};

// Computes all points of the shard that no journal in the folder settles, and returns how far it came. Rows go to the
// disk within a second of the run's end; a kill loses the runs in flight, a power failure the last second.
// Throws FileError from the journal and what compute throws, after all threads have ended.
SweepProgress run_sweep(const Plan& plan, const SweepWork& work);

// Which of all points need no run any more: those with a sound row in the journals of a folder that settles them (see
// settles(), retry_failed, lacks_file). `failed` counts those of them whose run failed.
// Journals of other shards of the same division are left unread when `only` is given: they hold other points.
std::vector<bool> points_done(const SweepWork& work, std::uint64_t points, const Shard* only, std::uint64_t& failed);

// A measure of how long a point takes beside the others, from the axes that decide it most: the activation, the
// watching time and the cell size. Not a time.
double expected_length(const Plan& plan, const std::vector<AxisSetting>& settings);

}  // namespace dryfront
