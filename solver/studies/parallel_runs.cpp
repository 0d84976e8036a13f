#include "studies/parallel_runs.hpp"

#include <algorithm>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace dryfront {

void run_in_parallel(std::size_t count, const ParallelRuns& how, const std::function<void(std::size_t)>& run) {
  std::atomic<std::size_t> next = 0;
  std::atomic<bool> broken = false;
  std::mutex mutex;  // guards what follows
  std::size_t done = 0, failed = count;
  std::exception_ptr failure;
  const auto work = [&] {
    while (!broken && !how.stopped()) {
      const std::size_t k = next++;
      if (k >= count) return;
      try {
        run(k);
        const std::lock_guard lock(mutex);
        ++done;
        if (how.on_progress) how.on_progress(done, count);
      } catch (...) {  // rethrown below: an exception may not leave a thread
        const std::lock_guard lock(mutex);
        broken = true;
        if (k < failed) {
          failed = k;
          failure = std::current_exception();
        }
      }
    }
  };
  {
    std::vector<std::jthread> workers;
    const auto threads = std::min(count, static_cast<std::size_t>(std::max(1, how.threads)));
    try {
      for (std::size_t k = 1; k < threads; ++k) workers.emplace_back(work);
    } catch (...) {  // a thread the system refuses: those begun must end first
      broken = true;
      throw;
    }
    work();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace dryfront
