// SIGINT (Ctrl-C) and SIGTERM, turned into a flag that the runs look at.
#pragma once

#include <atomic>

namespace dryfront {

// While it lives, SIGINT and SIGTERM set stop() instead of ending the program; a second one ends it at once, and so do
// 10 s in which it has not ended by itself. One at a time.
class InterruptGuard {
 public:
  InterruptGuard();
  InterruptGuard(const InterruptGuard&) = delete;
  InterruptGuard& operator=(const InterruptGuard&) = delete;
  ~InterruptGuard();

  const std::atomic<bool>& stop() const;
  void request_stop();  // as a signal would
  int signal() const;   // that arrived, 0 when none did
};

}  // namespace dryfront
