#include "simulation/events.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

std::vector<Event> events_of(const Mode& mode, int frames) {
  const auto ticks = [](double time) { return static_cast<Ticks>(std::llround(time * ticks_per_second)); };
  const Ticks end = ticks(mode.activation) + ticks(mode.after);
  std::vector<Event> events{{ticks(mode.activation), false, true}, {end, true, false}};
  for (Ticks k = 1; k < frames; ++k) events.push_back({end / frames * k + end % frames * k / frames, true, false});
  std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.time < b.time; });
  std::vector<Event> merged;
  for (const Event& event : events) {
    if (merged.empty() || merged.back().time != event.time) {
      merged.push_back(event);
    } else {
      merged.back().frame = merged.back().frame || event.frame;
      merged.back().switch_off = merged.back().switch_off || event.switch_off;
    }
  }
  return merged;
}

}  // namespace dryfront
