// The line that shows how far a run is and how long it will still take, on a terminal only.
#pragma once

#include <chrono>
#include <mutex>
#include <string>
#include <vector>

namespace dryfront {

class ProgressLine {
 public:
  // One entry per piece of work, its size in any common unit (here: simulated seconds). Shows nothing when not `shown`.
  ProgressLine(std::vector<double> sizes, bool shown);
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine() { clear(); }

  // From any thread: `done` of a piece is finished. Draws at most a few times a second.
  void update(std::size_t piece, double done);
  // Removes the line, so that nothing of it is left among the messages. Nothing is drawn afterwards.
  void clear();

 private:
  using Clock = std::chrono::steady_clock;
  std::mutex mutex_;
  std::vector<double> sizes_, done_;
  double total_ = 0;
  bool shown_;
  std::size_t drawn_ = 0;  // characters on the line
  Clock::time_point start_ = Clock::now(), last_ = start_;
};

// "  42 %, about 1 min 20 s left": after `elapsed` seconds with `share` of the work done.
std::string progress_text(double share, double elapsed);

// Whether a progress line belongs on standard error: it is a terminal that can go back to the start of a line.
bool stderr_is_terminal();

}  // namespace dryfront
