#include "physics/waveform.hpp"

#include <algorithm>
#include <cassert>
#include <cstddef>
#include <functional>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "physics/damped_half_cycle.hpp"

namespace dryfront {

namespace {

using std::numbers::pi;

// ---- sine -----------------------------------------------------------------------------------------------------------

double sine_fraction(double x) { return x >= 1 ? 0.0 : 1 - (std::asin(x) - x * std::sqrt(1 - x * x)) / pi; }

// Integral of sine_fraction from 0 to x.
double sine_integral(double x) {
  const double b = std::min(x, 1.0);
  const double c = std::sqrt(1 - b * b);
  return b - (b * std::asin(b) + c - 1) / pi + (1 - c * c * c) / (3 * pi);
}

// ---- damped sine train ----------------------------------------------------------------------------------------------

// A damped half cycle over and over, in the phase p = 2 pi f t with damping = 1/(2 pi f tau), begun again every
// `period`. Half cycle k is half cycle 0 times decrement^k, so one half cycle carries all the work.
class DampedTrain {
 public:
  explicit DampedTrain(const Waveform& waveform)
      : DampedTrain(waveform, 1 / (2 * pi * waveform.carrier * waveform.decay)) {}

  double crest_factor() const { return peak_ / std::sqrt(energy_ / period_); }

  double fraction(double x) const {
    if (x >= 1) return 0;
    double sum = 0;
    for_half_cycles([&](double amplitude, double length) {
      const double level = x * peak_ / amplitude;
      if (level >= greatest(length)) return false;
      sum += amplitude * amplitude * half_cycle_.integral(2, half_cycle_.rise_to(level), length);
      return true;
    });
    return sum / energy_;
  }

  // Integral of the fraction from 0 to x.
  double fraction_integral(double x) const {
    double sum = 0;
    for_half_cycles([&](double amplitude, double length) {
      const double level = x * peak_ / amplitude;
      const bool passed_whole = length == pi && level >= greatest(pi);
      const double integral =
          passed_whole ? half_cycle_integral_ : level_integral(std::min(level, greatest(length)), length);
      const double term = amplitude * amplitude * amplitude * integral;
      sum += term;
      return term > 1e-17 * sum;
    });
    return sum / (energy_ * peak_);
  }

  // Where the fraction jumps: the peaks of the half cycles.
  std::vector<double> jumps() const {
    std::vector<double> result;
    for_half_cycles([&](double amplitude, double length) {
      result.push_back(amplitude * greatest(length) / peak_);
      return amplitude > 1e-3;  // a jump is amplitude^2 times that of the first half cycle
    });
    return result;
  }

 private:
  DampedTrain(const Waveform& waveform, double damping)
      : half_cycle_(damping),
        period_(2 * pi * waveform.carrier / waveform.repeat),
        decrement_(std::exp(-pi * damping)),
        peak_(greatest(period_)),
        energy_(half_cycle_.integral(2, 0, period_)),
        half_cycle_integral_(level_integral(greatest(pi), pi)) {}

  // Calls visit(amplitude, length) for every half cycle of the burst, the last one cut to what is left of the period,
  // until it returns false.
  template <class Visit>
  void for_half_cycles(Visit visit) const {
    double amplitude = 1;
    for (double k = 0; k * pi < period_; ++k, amplitude *= decrement_) {
      const double length = std::min(pi, period_ - k * pi);
      if (length < 1e-9) return;  // rounding of a whole number of half cycles
      if (!visit(amplitude, length)) return;
    }
  }

  // Greatest voltage of a half cycle of amplitude 1 cut at `length`.
  double greatest(double length) const { return half_cycle_.at(std::min(half_cycle_.peak_phase(), length)); }

  // int_0^level E(p(y)) dy = level E(p) + int_0^p v^3, E(p) = int_p^length v^2, p = rise_to(level): by parts, with
  // dy = v' dp.
  double level_integral(double level, double length) const {
    const double p = half_cycle_.rise_to(level);
    return level * half_cycle_.integral(2, p, length) + half_cycle_.integral(3, 0, p);
  }

  DampedHalfCycle half_cycle_;
  double period_, decrement_, peak_, energy_, half_cycle_integral_;
};

// ---- sampled --------------------------------------------------------------------------------------------------------

// A stretch over which |v| rises above everything before it in its half cycle, from `from` to `to` times the peak.
// Struck at y, the rest of the half cycle has the share  rest + cubic (to^3 - y^3)  of the energy of the record.
struct Rise {
  double from, to, rest, cubic;
};

class SampledWave {
 public:
  explicit SampledWave(const Waveform& waveform) {
    check(waveform);
    const std::vector<double>& t = waveform.time;
    const std::vector<double>& v = waveform.voltage;
    for (const double value : v) peak_ = std::max(peak_, std::abs(value));

    // Straight lines in |v| that do not cross zero; the last joins the end to the beginning in no time.
    std::vector<Line> lines;
    for (std::size_t i = 0; i < v.size(); ++i) {
      const bool last = i + 1 == v.size();
      const double length = last ? 0 : t[i + 1] - t[i];
      const double a = v[i] / peak_;
      const double b = v[last ? 0 : i + 1] / peak_;
      if (a * b < 0) {
        const double to_zero = length * a / (a - b);
        lines.push_back({std::abs(a), 0, to_zero});
        lines.push_back({0, std::abs(b), length - to_zero});
      } else {
        lines.push_back({std::abs(a), std::abs(b), length});
      }
    }
    double energy = 0;
    for (const Line& line : lines) energy += line.energy();
    mean_square_ = energy / (t.back() - t.front());

    const auto start = std::find_if(lines.begin(), lines.end(), [](const Line& line) { return line.begin == 0; });
    if (start == lines.end()) {
      rises_.push_back({0, 1, 1, 0});
      return;
    }
    std::rotate(lines.begin(), start, lines.end());
    for (auto begin = lines.begin(); begin != lines.end();) {
      const auto end = std::find_if(begin, lines.end(), [](const Line& line) { return line.end == 0; }) + 1;
      add_half_cycle({begin, end}, energy);
      begin = end;
    }
  }

  double crest_factor() const { return 1 / std::sqrt(mean_square_); }

  double fraction(double x) const {
    double sum = 0;
    for (const Rise& rise : rises_) {
      if (rise.from <= x && x < rise.to) sum += rise.rest + rise.cubic * (cube(rise.to) - cube(x));
    }
    return sum;
  }

  double fraction_integral(double x) const {
    double sum = 0;
    for (const Rise& rise : rises_) {
      if (rise.from >= x) continue;
      const double y = std::min(x, rise.to);
      sum += (rise.rest + rise.cubic * cube(rise.to)) * (y - rise.from) -
             rise.cubic * (cube(y) * y - cube(rise.from) * rise.from) / 4;
    }
    return sum;
  }

  // Where the fraction jumps by more than is worth a node of its own.
  std::vector<double> jumps() const {
    std::vector<double> result;
    for (std::size_t i = 0; i < rises_.size(); ++i) {
      const bool goes_on = i + 1 < rises_.size() && rises_[i + 1].from > 0;
      const double next =
          goes_on ? rises_[i + 1].rest + rises_[i + 1].cubic * (cube(rises_[i + 1].to) - cube(rises_[i + 1].from)) : 0;
      if (rises_[i].rest - next > 1e-3) result.push_back(rises_[i].to);
    }
    return result;
  }

 private:
  struct Line {
    double begin, end, length;  // |v| over the peak at both ends; in time [s]
    double energy() const { return length * (begin * begin + begin * end + end * end) / 3; }
  };

  static double cube(double y) { return y * y * y; }

  static void check(const Waveform& waveform) {
    const std::vector<double>& t = waveform.time;
    const std::vector<double>& v = waveform.voltage;
    if (t.size() != v.size() || t.size() < 2) {
      throw std::invalid_argument("a sampled waveform needs at least two samples of time and voltage");
    }
    for (std::size_t i = 0; i < t.size(); ++i) {
      if (!std::isfinite(t[i]) || !std::isfinite(v[i])) {
        throw std::invalid_argument("sample " + std::to_string(i + 1) + " of the waveform is not a finite number");
      }
      if (i > 0 && t[i] <= t[i - 1]) {
        throw std::invalid_argument("the time of sample " + std::to_string(i + 1) +
                                    " of the waveform is not later than the one before");
      }
    }
    if (std::all_of(v.begin(), v.end(), [](double value) { return value == 0; })) {
      throw std::invalid_argument("the voltage of a sampled waveform is zero throughout");
    }
  }

  void add_half_cycle(const std::vector<Line>& lines, double energy_of_record) {
    double rest = 0;
    for (const Line& line : lines) rest += line.energy();
    double highest = 0;
    for (const Line& line : lines) {
      rest = std::max(rest - line.energy(), 0.0);
      if (line.end <= highest) continue;
      const double time_per_y = line.length / (line.end - line.begin);
      rises_.push_back({highest, line.end, rest / energy_of_record, time_per_y / 3 / energy_of_record});
      highest = line.end;
    }
  }

  double peak_ = 0;
  double mean_square_ = 0;  // over the square of the peak [-]
  std::vector<Rise> rises_;
};

// ---- tabulation -----------------------------------------------------------------------------------------------------

struct Point {
  double x, value;
};

// Appends points of `f` right of `a` up to and including `b`, so that straight lines between them are within the
// tolerance.
void bisect(const std::function<double(double)>& f, Point a, Point b, int depth, std::vector<Point>& points) {
  constexpr double tolerance = 4e-6;
  const Point middle{0.5 * (a.x + b.x), f(0.5 * (a.x + b.x))};
  const auto misses = [&](double share, double value) {
    return std::abs(value - (a.value + share * (b.value - a.value))) > tolerance;
  };
  const bool refine =
      misses(0.5, middle.value) || misses(0.25, f(0.75 * a.x + 0.25 * b.x)) || misses(0.75, f(0.25 * a.x + 0.75 * b.x));
  if (depth == 0 || !refine) {
    points.push_back(b);
    return;
  }
  bisect(f, a, middle, depth - 1, points);
  bisect(f, middle, b, depth - 1, points);
}

void require(bool holds, const char* message) {
  if (!holds) throw std::invalid_argument(message);
}

void check(const Waveform& waveform) {
  if (waveform.kind == WaveformKind::gated) {
    require(waveform.duty > 0 && waveform.duty <= 1, "the duty of a gated waveform must lie above 0 and at most at 1");
  }
  if (waveform.kind == WaveformKind::damped) {
    require(waveform.carrier > 0 && waveform.repeat > 0 && waveform.decay > 0,
            "carrier, repeat and decay of a damped waveform must be positive");
  }
}

}  // namespace

double crest_factor(const Waveform& waveform) {
  check(waveform);
  switch (waveform.kind) {
    case WaveformKind::continuous:
      return std::numbers::sqrt2;
    case WaveformKind::gated:
      return std::sqrt(2 / waveform.duty);
    case WaveformKind::damped:
      return DampedTrain(waveform).crest_factor();
    case WaveformKind::sampled:
      return SampledWave(waveform).crest_factor();
  }
  assert(false);
  return 0;
}

double striking_fraction(const Waveform& waveform, double x) {
  check(waveform);
  assert(x >= 0);
  switch (waveform.kind) {
    case WaveformKind::continuous:
    case WaveformKind::gated:
      return sine_fraction(x);
    case WaveformKind::damped:
      return x > 0 ? DampedTrain(waveform).fraction(x) : 1.0;
    case WaveformKind::sampled:
      return SampledWave(waveform).fraction(x);
  }
  assert(false);
  return 0;
}

StrikingTable::StrikingTable(const Waveform& waveform, double spread) {
  check(waveform);
  require(spread >= 0 && spread < 1, "the spread of the strike voltage must be at least 0 and below 1");
  const double width = std::max(spread, 1e-4);
  never_ = 1 / (1 - width);

  std::function<double(double)> integral = sine_integral;
  std::vector<double> jumps = {1.0};
  if (waveform.kind == WaveformKind::damped) {
    const DampedTrain train(waveform);
    integral = [train](double x) { return train.fraction_integral(x); };
    jumps = train.jumps();
  } else if (waveform.kind == WaveformKind::sampled) {
    SampledWave wave(waveform);
    jumps = wave.jumps();
    integral = [wave = std::move(wave)](double x) { return wave.fraction_integral(x); };
  }
  const auto average = [&](double x) {
    if (x <= 0) return 1.0;
    if (x >= never_) return 0.0;
    return (integral(x * (1 + width)) - integral(x * (1 - width))) / (2 * width * x);
  };

  // The average has a kink where either end of the spread meets a jump of f.
  std::vector<double> kinks = {0, never_};
  for (const double jump : jumps) {
    kinks.push_back(jump / (1 + width));
    kinks.push_back(jump / (1 - width));
  }
  std::sort(kinks.begin(), kinks.end());
  std::vector<Point> points = {{0, 1}};
  for (const double kink : kinks) {
    const Point a = points.back();
    if (kink > never_ || kink - a.x < 1e-12) continue;
    constexpr int parts = 4;
    for (int part = 1; part <= parts; ++part) {
      const double x = part == parts ? kink : a.x + (kink - a.x) * part / parts;
      bisect(average, points.back(), {x, average(x)}, 24, points);
    }
  }
  points.back() = {never_, 0};
  for (std::size_t i = 1; i < points.size(); ++i) {  // rounding must not make it rise
    points[i].value = std::clamp(points[i].value, 0.0, points[i - 1].value);
  }

  node_.reserve(points.size());
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const Point& a = points[i];
    const Point& b = points[i + 1];
    node_.push_back({a.x, a.value, (b.value - a.value) / (b.x - a.x)});
  }
  node_.push_back({never_, 0, 0});
  fill_buckets();
}

void StrikingTable::fill_buckets() {
  const std::size_t buckets = 2 * node_.size();
  buckets_per_x_ = static_cast<double>(buckets) / never_;
  bucket_.assign(buckets + 1, 0);
  std::size_t i = 0;
  for (std::size_t b = 0; b <= buckets; ++b) {
    while (i + 1 < node_.size() && node_[i + 1].x * buckets_per_x_ < static_cast<double>(b)) ++i;
    bucket_[b] = static_cast<std::uint32_t>(i);
  }
}

}  // namespace dryfront
