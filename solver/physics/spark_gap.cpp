#include "physics/spark_gap.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dryfront {

namespace {

// sqrt(I_peak) from I (R + 1/(c sqrt I)) = U, the conductance of the roots being c sqrt I.
double root_of_peak_current(double resistance, double c, double voltage) {
  return 2 * voltage / (1 / c + std::sqrt(1 / (c * c) + 4 * resistance * voltage));
}

}  // namespace

bool strikes(const SparkGap& gap, double open, double rms) {
  const double peak = open * gap.crest_factor * rms;
  return peak > 0 && gap.waveform->strikes(gap.strike / peak);
}

ChannelCurrents channel_currents(const SparkGap& gap, const GapFeed& feed, double rms) {
  if (!strikes(gap, feed.open, rms)) return {};
  const double peak = feed.open * gap.crest_factor * rms;  // across the open gap [V]
  const StruckMoments moments = (*gap.waveform)(gap.strike / peak, gap.drop / peak);
  const double all_roots = gap.channels * std::numbers::pi * gap.current_density;
  const double c = 4 * gap.channels * gap.root_conductivity / std::sqrt(all_roots);
  const double root_of_current = root_of_peak_current(feed.resistance, c, peak - gap.drop);
  const double root_resistance = 1 / (c * root_of_current);
  const double resistance = feed.resistance + root_resistance;

  // Powers of the open gap's voltage over rms^2, while struck.
  const double scale = peak / rms, drop = gap.drop / rms;
  const double square = scale * scale * moments.square, mean = scale * moments.voltage, time = moments.time;
  ChannelCurrents result;
  result.in_phase = (square - drop * mean) / (resistance * feed.open);
  result.square = (square - 2 * drop * mean + drop * drop * time) / (resistance * resistance);
  result.drop_power = drop * (mean - drop * time) / resistance;
  result.root_power = result.square * root_resistance;
  result.root_radius = root_of_current / std::sqrt(all_roots);
  return result;
}

double voltage_with_channels(const SparkGap& gap, const GapFeed& feed, double unstruck, const Source& source,
                             double crest_factor) {
  const double alone = source_voltage(source, 1 / unstruck, crest_factor);
  if (!strikes(gap, feed.open, alone)) return alone;
  const auto excess = [&](double rms) {
    const double conductance = unstruck + feed.open * channel_currents(gap, feed, rms).in_phase;
    return rms - source_voltage(source, 1 / conductance, crest_factor);
  };
  // Between the voltage at which it begins to strike and the one that would stand if it did not; regula falsi with
  // halving (Illinois), and bisection where that is slow, as it is at the jump of a sharp strike voltage.
  double low = 0, high = alone, at_low = -alone, at_high = excess(alone);
  if (at_high <= 0) return alone;
  int kept = 0;
  for (int k = 0; k < 200 && high - low > 1e-14 * high; ++k) {
    const double secant = (low * at_high - high * at_low) / (at_high - at_low);
    const double next = k % 4 == 3 || !(secant > low && secant < high) ? 0.5 * (low + high) : secant;
    const double at = excess(next);
    if (at == 0) return next;
    if (at > 0) {
      high = next;
      at_high = at;
      if (kept == 1) at_low *= 0.5;
      kept = 1;
    } else {
      low = next;
      at_low = at;
      if (kept == -1) at_high *= 0.5;
      kept = -1;
    }
  }
  return 0.5 * (low + high);
}

}  // namespace dryfront
