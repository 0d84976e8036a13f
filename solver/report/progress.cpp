#include "report/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

namespace dryfront {
namespace {

constexpr auto between_drawings = std::chrono::milliseconds(250);

std::string duration_text(double seconds) {
  const long whole = std::lround(std::ceil(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

}  // namespace

std::string progress_text(double share, double elapsed) {
  const double least_share = 0.01;  // below it the rate says nothing yet
  std::string text = fmt::format("{:4.0f} %", 100 * share);
  if (share >= least_share) text += fmt::format(", about {} left", duration_text(elapsed * (1 - share) / share));
  return text;
}

std::string sweep_progress_text(const SweepProgress& now) {
  const std::uint64_t done = now.earlier + now.computed;
  const double share = now.planned == 0 ? 1 : static_cast<double>(done) / static_cast<double>(now.planned);
  std::string text = fmt::format("{} of {} ({:.1f} %)", done, now.planned, 100 * share);
  const double per_second = now.elapsed > 0 ? static_cast<double>(now.computed) / now.elapsed : 0;
  if (per_second > 0) {
    text += fmt::format(", {:.3g} runs/s, about {} left", per_second,
                        duration_text(static_cast<double>(now.planned - std::min(done, now.planned)) / per_second));
  }
  if (now.failed > 0) text += fmt::format(", {} failed", now.failed);
  return text;
}

StatusLine::StatusLine(bool shown, double between_log_lines)
    : shown_(shown), terminal_(::isatty(STDERR_FILENO) == 1), between_lines_(between_log_lines) {}

void StatusLine::show(const std::string& text, double elapsed) {
  if (!shown_) return;
  if (!terminal_) {
    if (between_lines_ == 0 || elapsed - last_line_ < between_lines_) return;
    last_line_ = elapsed;
    std::fprintf(stderr, "%s\n", text.c_str());
    return;
  }
  std::fprintf(stderr, "\r%-*s", static_cast<int>(drawn_), text.c_str());
  std::fflush(stderr);
  drawn_ = std::max(drawn_, text.size());
}

void StatusLine::clear() {
  if (drawn_ > 0) std::fprintf(stderr, "\r%*s\r", static_cast<int>(drawn_), "");
  std::fflush(stderr);
  drawn_ = 0;
  shown_ = false;
}

ProgressLine::ProgressLine(std::vector<double> sizes, bool quiet)
    : sizes_(std::move(sizes)),
      done_(sizes_.size(), 0.0),
      total_(std::accumulate(sizes_.begin(), sizes_.end(), 0.0)),
      line_(!quiet && total_ > 0) {}

void ProgressLine::update(std::size_t piece, double done) {
  const std::lock_guard lock(mutex_);
  done_.at(piece) = std::min(done, sizes_[piece]);
  const auto now = Clock::now();
  if (now - last_ < between_drawings) return;
  last_ = now;
  const double elapsed = std::chrono::duration<double>(now - start_).count();
  line_.show(progress_text(std::accumulate(done_.begin(), done_.end(), 0.0) / total_, elapsed), elapsed);
}

void ProgressLine::clear() {
  const std::lock_guard lock(mutex_);
  line_.clear();
}

}  // namespace dryfront
