// Waveforms: crest factor and the striking function, both properties of the shape alone.
#pragma once

#include <string>
#include <vector>

namespace dryfront {

enum class WaveformKind { continuous, gated, decaying, sampled };

struct Waveform {
  WaveformKind kind = WaveformKind::continuous;
  double carrier = 400e3;    // f [Hz]
  double duty = 1.0;         // share of the burst period with current (gated) [-]
  double repeat = 30e3;      // bursts per second (gated, decaying) [Hz]
  double decay = 5e-6;       // time constant tau of the envelope (decaying) [s]
  std::string file;          // sampled: two columns, time [s] and voltage in any unit
  std::vector<double> time;  // sampled: filled by the case reader [s]
  std::vector<double> voltage;
};

// Peak over rms. Continuous sqrt 2; gated sine of duty d: sqrt(2/d); damped sine train: closed form (see waveform.cpp);
// sampled: from the trapezoidal rms of the samples.   [-]
double crest_factor(const Waveform& waveform);

// f(x): the share of the mean square that flows while an arc conducts, when in every half cycle the gap strikes as |v|
// first passes x times the peak voltage and conducts to the next zero crossing. In [0, 1], non-increasing in x; one sharp
// strike voltage. One half cycle of amplitude A: 1 - th/pi + sin(2 th)/(2 pi), th = asin(x/A), 0 if x >= A.   [-]
double striking_fraction(const Waveform& waveform, double x);

// f averaged over a uniform spread of strike voltage x (1 -+ spread), tabulated for the solver.
class StrikingTable {
 public:
  StrikingTable() = default;
  StrikingTable(const Waveform& waveform, double spread);
  // f at strike voltage / peak voltage = x >= 0   [-]
  double operator()(double x) const;
  // Strike voltages over peak voltage at and above which nothing ever strikes   [-]
  double never() const { return never_; }

 private:
  double never_ = 0;
  double step_ = 0;
  std::vector<double> value_;
};

}  // namespace dryfront
