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

bool stderr_is_terminal() { return ::isatty(STDERR_FILENO) == 1; }

ProgressLine::ProgressLine(std::vector<double> sizes, bool shown)
    : sizes_(std::move(sizes)),
      done_(sizes_.size(), 0.0),
      total_(std::accumulate(sizes_.begin(), sizes_.end(), 0.0)),
      shown_(shown && total_ > 0) {}

void ProgressLine::update(std::size_t piece, double done) {
  const std::lock_guard lock(mutex_);
  if (!shown_) return;
  done_.at(piece) = std::min(done, sizes_[piece]);
  const auto now = Clock::now();
  if (now - last_ < between_drawings) return;
  last_ = now;
  const double share = std::accumulate(done_.begin(), done_.end(), 0.0) / total_;
  const std::string text = progress_text(share, std::chrono::duration<double>(now - start_).count());
  std::fprintf(stderr, "\r%-*s", static_cast<int>(drawn_), text.c_str());
  std::fflush(stderr);
  drawn_ = std::max(drawn_, text.size());
}

void ProgressLine::clear() {
  const std::lock_guard lock(mutex_);
  if (drawn_ > 0) std::fprintf(stderr, "\r%*s\r", static_cast<int>(drawn_), "");
  std::fflush(stderr);
  drawn_ = 0;
  shown_ = false;
}

}  // namespace dryfront
