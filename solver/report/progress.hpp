// The line that shows how far the runs are and how long they will still take.
#pragma once

#include <chrono>
#include <mutex>
#include <string>
#include <vector>

#include "studies/sweep/sweep.hpp"

namespace dryfront {

// One line that is drawn again and again on a terminal. Where standard error is none, in a log, a line every
// `between_log_lines` seconds, and none when that is 0.
class StatusLine {
 public:
  explicit StatusLine(bool shown, double between_log_lines = 0);
  StatusLine(const StatusLine&) = delete;
  StatusLine& operator=(const StatusLine&) = delete;
  ~StatusLine() { clear(); }

  // `elapsed` seconds after the start.
  void show(const std::string& text, double elapsed);
  // Removes the line, so that nothing of it is left among the messages. Nothing is shown afterwards.
  void clear();

 private:
  bool shown_;
  bool terminal_;
  double between_lines_;   // in a log [s]
  double last_line_ = 0;   // in a log [s]
  std::size_t drawn_ = 0;  // characters on the line
};

// How far pieces of work are together. On a terminal only.
class ProgressLine {
 public:
  // One entry per piece of work, its size in any common unit (here: simulated seconds). Shows nothing when `quiet`.
  ProgressLine(std::vector<double> sizes, bool quiet);

  // From any thread: `done` of a piece is finished. Draws at most a few times a second.
  void update(std::size_t piece, double done);
  void clear();

 private:
  using Clock = std::chrono::steady_clock;
  std::mutex mutex_;
  std::vector<double> sizes_, done_;
  double total_ = 0;
  StatusLine line_;
  Clock::time_point start_ = Clock::now(), last_ = start_;
};

// "  42 %, about 1 min 20 s left": after `elapsed` seconds with `share` of the work done.
std::string progress_text(double share, double elapsed);

// "412 of 10000 (4.1 %), 2.3 runs/s, about 1 h 10 min left, 3 failed".
std::string sweep_progress_text(const SweepProgress& now);

}  // namespace dryfront
