#include "report/sweep_outlook.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dryfront {

namespace {

std::string duration_text(double seconds) {
  constexpr double minute = 60, hour = 3600;
  if (seconds < 2 * minute) return fmt::format("{:.0f} s", std::ceil(seconds));
  if (seconds < 2 * hour) return fmt::format("{:.0f} min", seconds / minute);
  return fmt::format("{:.1f} h", seconds / hour);
}

}  // namespace

std::string bytes_text(double bytes) {
  constexpr double MB = 1e6, GB = 1e9;
  return bytes < GB ? fmt::format("{:.0f} MB", std::max(1.0, bytes / MB)) : fmt::format("{:.1f} GB", bytes / GB);
}

std::string sweep_outlook_text(const SweepOutlook& outlook, int threads) {
  std::string text = fmt::format("points     {}", outlook.points);
  if (outlook.left_out > 0) text += fmt::format(", {} left out by constraints", outlook.left_out);
  text += fmt::format("\ngrids      {} to {} cells\nmemory     about {} on {} threads\n", outlook.least_cells,
                      outlook.most_cells, bytes_text(outlook.memory), threads);
  text += std::isnan(outlook.seconds) ? std::string("run time   cannot be told: no point ended within 10 s\n")
                                      : fmt::format("run time   about {} on {} threads, guessed from {} points\n",
                                                    duration_text(outlook.seconds), threads, outlook.sampled);
  text += fmt::format("refused    {} of {} cases looked at\n", outlook.refused, outlook.looked_at);
  for (const auto& [point, reason] : outlook.refusals) text += fmt::format("point {}: {}\n", point, reason);
  if (outlook.refused > outlook.refusals.size()) text += "...\n";
  return text;
}

}  // namespace dryfront
