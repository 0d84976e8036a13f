// What a waveform does while a spark channel conducts: from where it strikes to where it goes out.
#pragma once

#include <vector>

#include "physics/damped_half_cycle.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

// Means over the whole waveform of what counts while a channel conducts only.
struct StruckMoments {
  double time = 0;     // <1>, share of the time [-]
  double voltage = 0;  // <|v|>/V_peak [-]
  double square = 0;   // <v^2>/V_peak^2 [-]
};

// In every half cycle a channel strikes as |v| first passes the strike voltage, goes out as |v| falls to the drop, and
// may strike again. The strike voltage is spread evenly over (1 -+ spread) times its mean, the drop is sharp. In closed
// form, good to round-off: a half cycle of a damped sine (damping 0: of a sine) through the integrals of its first
// three powers, a sampled record through those of its straight lines; the mean over the spread by parts,
//   int_a^b M_k(p(y)) dy = [y M_k(p(y))]_a^b + int_{p(a)}^{p(b)} v^(k+1) dp,   M_k(p) = int_p^end v^k.
// A burst cut short by the next one conducts to that moment; a sampled record is periodic, and where it never falls to
// the drop a channel once struck stays.
class StruckWaveform {
 public:
  // 0 <= spread < 1; below 1e-4 it counts as 1e-4. Throws std::invalid_argument otherwise, and as crest_factor.
  StruckWaveform(const Waveform& waveform, double spread);

  // At strike voltage and drop over the peak voltage, 0 <= drop <= strike (1 - spread).
  StruckMoments operator()(double strike, double drop) const;

  // Whether a gap at this strike voltage over the peak voltage strikes at all.
  bool strikes(double strike) const { return strike * (1 - spread_) < 1; }

 private:
  struct Line {  // |v| over the peak at both ends; share of the record's time
    double begin, end, length;
    double integral(int power) const;
  };

  void set_up_sampled(const Waveform& waveform);
  StruckMoments of_half_cycles(double strike, double drop) const;
  StruckMoments of_lines(double strike, double drop) const;
  void add_lobe(const std::vector<Line>& lobe, double drop, double low, double high, StruckMoments& sum) const;

  double spread_ = 0;
  DampedHalfCycle half_cycle_{0};
  double peak_ = 1;       // of half_cycle_ at amplitude 1
  double decrement_ = 1;  // of the amplitude from one half cycle to the next
  double period_ = 0;     // phase from burst to burst [rad]; that of the sine in it is a half cycle's
  double on_ = 1;         // share of the time in which half cycles follow each other
  std::vector<Line> lines_;
};

}  // namespace dryfront
