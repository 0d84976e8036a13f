// Many independent runs on several threads.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>

namespace dryfront {

// How a study computes its runs.
struct ParallelRuns {
  int threads = 1;
  const std::atomic<bool>* stop = nullptr;  // set to end early; may be null
  std::function<void(std::size_t done, std::size_t runs)>
      on_progress{};  // from any thread, one at a time; may be empty

  bool stopped() const { return stop != nullptr && *stop; }
};

// Calls run(0) ... run(count - 1), begun in this order, `threads` of them side by side, the calling thread among them;
// returns when all have ended. `run` must write to what belongs to its number alone; then what comes out does not
// depend on `threads`. None is begun once `stop` is set or one has thrown. Of several exceptions that of the least
// number is rethrown, which is the same for any number of threads unless the runs were stopped. A run that throws is
// not reported to on_progress. on_progress may throw like a run.
void run_in_parallel(std::size_t count, const ParallelRuns& how, const std::function<void(std::size_t)>& run);

}  // namespace dryfront
