// Waveforms: crest factor and the striking function, both properties of the shape alone.
//
//   continuous  a sine
//   gated       bursts of whole cycles of a sine, then nothing, share `duty` of the time
//   damped    e^{-t/tau} sin(2 pi f t), begun again from zero every 1/repeat
//   sampled     straight lines between samples; the record from its first to its last sample is one repetition
#pragma once

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "numerics/enumeration.hpp"

namespace dryfront {

enum class WaveformKind { continuous, gated, damped, sampled };
constexpr auto enumerators(WaveformKind) {
  return enumeration<WaveformKind>({{WaveformKind::continuous, "continuous"},
                                    {WaveformKind::gated, "gated"},
                                    {WaveformKind::damped, "damped"},
                                    {WaveformKind::sampled, "sampled"}});
}

struct Waveform {
  WaveformKind kind = WaveformKind::continuous;
  double carrier = 400e3;    // f [Hz]
  double duty = 1.0;         // share of the burst period with current (gated) [-]
  double repeat = 30e3;      // bursts per second (gated, damped) [Hz]
  double decay = 5e-6;       // time constant tau of the envelope (damped) [s]
  std::string file;          // sampled: two columns, time [s] and voltage in any unit
  std::vector<double> time;  // sampled: filled by the case reader [s]
  std::vector<double> voltage;

  bool operator==(const Waveform&) const = default;
};

// Peak over rms. Continuous sqrt 2; gated sine of duty d: sqrt(2/d); damped sine train: closed form (see waveform.cpp);
// sampled: greatest |v| over the rms of the straight lines between the samples.   [-]
// Throws std::invalid_argument when a number is out of range, or when the samples are fewer than two, not finite, not
// increasing in time, or all zero.
double crest_factor(const Waveform& waveform);

// f(x): the share of the mean square that flows while an arc conducts, when in every half cycle the gap strikes as |v|
// first passes x times the peak voltage and conducts to the next zero crossing. In [0, 1], non-increasing in x; one
// sharp strike voltage. One half cycle of amplitude A: 1 - th/pi + sin(2 th)/(2 pi), th = asin(x/A), 0 if x >= A. The
// damped sine train sums its half cycles exactly; a burst cut short by the next one conducts to that moment. A sampled
// record is taken as periodic; if it never crosses zero an arc once struck stays.   [-]
// Throws as crest_factor.
double striking_fraction(const Waveform& waveform, double x);

// f averaged over a uniform spread of strike voltage x (1 -+ spread), tabulated for the solver.
//
//   average(x) = (Phi(x (1 + spread)) - Phi(x (1 - spread)))/(2 spread x),  Phi(x) = integral of f from 0 to x,
//
// with Phi in closed form, so that the table holds exact values; it is linear between nodes that lie at the kinks and
// are close enough for an error below 1e-5. Continuous and non-increasing. A spread below 1e-4 counts as 1e-4.
class StrikingTable {
 public:
  // Nothing ever strikes.
  StrikingTable() = default;
  // 0 <= spread < 1. Throws std::invalid_argument otherwise, and as crest_factor.
  StrikingTable(const Waveform& waveform, double spread);

  // f at strike voltage / peak voltage = x >= 0, infinity allowed; NaN gives NaN   [-]
  double operator()(double x) const {
    if (!(x < never_)) return std::isnan(x) ? x : 0.0;
    const Node& node = node_[left_of(x)];
    return node.value + node.slope * (x - node.x);
  }

  // df/dx of the interpolation, not positive; at a node the slope to its right   [-]
  double slope(double x) const {
    if (!(x < never_)) return std::isnan(x) ? x : 0.0;
    return node_[left_of(x)].slope;
  }

  // Strike voltage over peak voltage at and above which nothing ever strikes, 1/(1 - spread)   [-]
  double never() const { return never_; }
  std::size_t size() const { return node_.size(); }

 private:
  struct Node {
    double x, value, slope;
  };
  void fill_buckets();

  // Index of the last node at or left of x, 0 <= x < never.
  std::size_t left_of(double x) const {
    std::size_t i = bucket_[static_cast<std::size_t>(x * buckets_per_x_)];
    while (node_[i + 1].x <= x) ++i;
    return i;
  }

  double never_ = 0;
  double buckets_per_x_ = 0;
  std::vector<Node> node_;             // increasing in x, from 0 to never
  std::vector<std::uint32_t> bucket_;  // per equal interval of x: a node left of it, from which to walk
};

}  // namespace dryfront
