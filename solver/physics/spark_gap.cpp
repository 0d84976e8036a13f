#include "physics/spark_gap.hpp"

#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
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
  const double at_alone = excess(alone);
  if (at_alone <= 0) return alone;
  std::uintmax_t passes = 200;
  const auto [below, above] = boost::math::tools::toms748_solve(excess, 0.0, alone, -alone, at_alone,
                                                                boost::math::tools::eps_tolerance<double>(), passes);
  return 0.5 * (below + above);
}

}  // namespace dryfront
