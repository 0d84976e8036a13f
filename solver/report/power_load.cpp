#include "report/power_load.hpp"

#include <fmt/format.h>

#include <array>

#include "physics/power_load.hpp"

namespace dryfront {

namespace {

constexpr std::array<double, 13> shown_loads{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000};

LoadPoint into(const Mode& mode, double load) { return delivered_into(mode.source, load, crest_factor(mode.waveform)); }

}  // namespace

std::string power_load_text(const Case& c) {
  std::string text;
  for (const Mode& mode : c.modes) {
    text += fmt::format("\n{}{}, crest factor {:.2f}\n      load      power        rms       peak    current\n",
                        label_of(mode), mode.source.kind == SourceKind::temperature ? ", at its greatest power" : "",
                        crest_factor(mode.waveform));
    for (const double load : shown_loads) {
      const LoadPoint point = into(mode, load);
      text += fmt::format("{:>6g} ohm {:>8.2f} W {:>8.1f} V {:>8.1f} V {:>8.3f} A\n", load, point.power, point.rms,
                          point.peak, point.current);
    }
  }
  return text;
}

nlohmann::ordered_json power_load_json(const Mode& mode) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const double load : shown_loads) {
    const LoadPoint point = into(mode, load);
    list.push_back({{"ohm", load}, {"W", point.power}, {"V", point.rms}, {"peak_V", point.peak}, {"A", point.current}});
  }
  return list;
}

}  // namespace dryfront
