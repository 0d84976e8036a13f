#include "physics/struck_waveform.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace dryfront {

namespace {

using std::numbers::pi;

double power_of(double y, int power) { return power == 0 ? 1 : y * power_of(y, power - 1); }

}  // namespace

double StruckWaveform::Line::integral(int power) const {
  switch (power) {
    case 0:
      return length;
    case 1:
      return 0.5 * length * (begin + end);
    default:
      return length * (begin * begin + begin * end + end * end) / 3;
  }
}

StruckWaveform::StruckWaveform(const Waveform& waveform, double spread) : spread_(std::max(spread, 1e-4)) {
  if (!(spread >= 0 && spread < 1)) {
    throw std::invalid_argument("the spread of the strike voltage must be at least 0 and below 1");
  }
  crest_factor(waveform);  // refuses a waveform that cannot be
  period_ = pi;
  switch (waveform.kind) {
    case WaveformKind::continuous:
      break;
    case WaveformKind::gated:
      on_ = waveform.duty;
      break;
    case WaveformKind::damped: {
      const double damping = 1 / (2 * pi * waveform.carrier * waveform.decay);
      half_cycle_ = DampedHalfCycle(damping);
      period_ = 2 * pi * waveform.carrier / waveform.repeat;
      decrement_ = std::exp(-pi * damping);
      peak_ = half_cycle_.at(std::min(half_cycle_.peak_phase(), period_));
      break;
    }
    case WaveformKind::sampled:
      set_up_sampled(waveform);
      break;
  }
}

// Straight lines in |v| that do not cross zero; the last joins the end to the beginning in no time. They begin where
// |v| is least.
void StruckWaveform::set_up_sampled(const Waveform& waveform) {
  const std::vector<double>& t = waveform.time;
  const std::vector<double>& v = waveform.voltage;
  double peak = 0;
  for (const double value : v) peak = std::max(peak, std::abs(value));
  const double record = t.back() - t.front();
  for (std::size_t i = 0; i < v.size(); ++i) {
    const bool last = i + 1 == v.size();
    const double length = last ? 0 : (t[i + 1] - t[i]) / record;
    const double a = v[i] / peak, b = v[last ? 0 : i + 1] / peak;
    if (a * b < 0) {
      const double to_zero = length * a / (a - b);
      lines_.push_back({std::abs(a), 0, to_zero});
      lines_.push_back({0, std::abs(b), length - to_zero});
    } else {
      lines_.push_back({std::abs(a), std::abs(b), length});
    }
  }
  const auto least =
      std::min_element(lines_.begin(), lines_.end(), [](const Line& a, const Line& b) { return a.begin < b.begin; });
  std::rotate(lines_.begin(), least, lines_.end());
}

StruckMoments StruckWaveform::operator()(double strike, double drop) const {
  assert(strike > 0 && drop >= 0 && drop <= strike * (1 - spread_) * (1 + 1e-12));
  if (!strikes(strike)) return {};
  return lines_.empty() ? of_half_cycles(strike, drop) : of_lines(strike, drop);
}

StruckMoments StruckWaveform::of_half_cycles(double strike, double drop) const {
  StruckMoments sum;
  double amplitude = 1;
  for (int k = 0; k * pi < period_; ++k, amplitude *= decrement_) {
    const double length = std::min(pi, period_ - k * pi);
    if (length < 1e-9) break;  // rounding of a whole number of half cycles
    const double scale = amplitude / peak_;
    const double greatest = half_cycle_.at(std::min(half_cycle_.peak_phase(), length));
    const double low = strike * (1 - spread_) / scale, high = strike * (1 + spread_) / scale;
    if (low >= greatest) {
      if (length == pi) break;
      continue;
    }
    const double most = std::min(high, greatest);
    const double first = half_cycle_.rise_to(low), last = std::min(half_cycle_.rise_to(most), length);
    const double out = std::min(half_cycle_.fall_to(drop / scale), length);
    const auto mean = [&](int power) {
      return (most * half_cycle_.integral(power, last, out) - low * half_cycle_.integral(power, first, out) +
              half_cycle_.integral(power + 1, first, last)) /
             (high - low);
    };
    sum.time += mean(0);
    sum.voltage += scale * mean(1);
    sum.square += scale * scale * mean(2);
  }
  return {sum.time * on_ / period_, sum.voltage * on_ / period_, sum.square * on_ / period_};
}

// A lobe is a stretch over which |v| stays above the drop: in each a channel strikes at most once.
StruckMoments StruckWaveform::of_lines(double strike, double drop) const {
  const double low = strike * (1 - spread_), high = strike * (1 + spread_);
  StruckMoments sum;
  if (lines_.front().begin > drop) {  // it never goes out
    const double chance = std::clamp((1 - low) / (high - low), 0.0, 1.0);
    for (const Line& line : lines_) {
      sum.time += chance * line.integral(0);
      sum.voltage += chance * line.integral(1);
      sum.square += chance * line.integral(2);
    }
    return sum;
  }
  std::vector<Line> lobe;
  for (const Line& line : lines_) {
    Line above = line;
    const double slope = line.end - line.begin;
    if (line.begin < drop && line.end > drop) {
      above = {drop, line.end, line.length * (line.end - drop) / slope};
    } else if (line.begin > drop && line.end < drop) {
      above = {line.begin, drop, line.length * (drop - line.begin) / slope};
    }
    if (above.begin > drop || above.end > drop) lobe.push_back(above);
    if (line.end <= drop) {
      add_lobe(lobe, drop, low, high, sum);
      lobe.clear();
    }
  }
  add_lobe(lobe, drop, low, high, sum);
  return sum;
}

// Struck at y on a line that rises above all before it, the rest of the lobe counts.
void StruckWaveform::add_lobe(const std::vector<Line>& lobe, double drop, double low, double high,
                              StruckMoments& sum) const {
  double rest[3] = {};
  for (const Line& line : lobe) {
    for (int power = 0; power < 3; ++power) rest[power] += line.integral(power);
  }
  double highest = drop;
  for (const Line& line : lobe) {
    for (int power = 0; power < 3; ++power) rest[power] -= line.integral(power);
    if (line.end <= highest) continue;
    const double from = std::max(highest, low), to = std::min(line.end, high);
    highest = line.end;
    if (to <= from) continue;
    const double time_per_y = line.length / (line.end - line.begin);
    const auto mean = [&](int power) {
      const int k = power + 1;
      const double at_end = rest[power] + time_per_y * power_of(line.end, k) / k;
      const double struck = time_per_y * (power_of(to, k + 1) - power_of(from, k + 1)) / (k * (k + 1));
      return (at_end * (to - from) - struck) / (high - low);
    };
    sum.time += mean(0);
    sum.voltage += mean(1);
    sum.square += mean(2);
  }
}

}  // namespace dryfront
