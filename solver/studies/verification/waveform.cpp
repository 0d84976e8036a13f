// Waveforms: crest factors and the striking function.
#include "physics/waveform.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

Waveform damped(double carrier, double decay, double period) {
  Waveform waveform;
  waveform.kind = WaveformKind::damped;
  waveform.carrier = carrier;
  waveform.decay = decay;
  waveform.repeat = 1 / period;
  return waveform;
}

std::vector<Finding> gated(Effort) {
  std::vector<Finding> findings;
  for (const double duty : {1.0, 0.5, 0.25, 0.06, 0.05}) {
    Waveform waveform;
    waveform.kind = WaveformKind::gated;
    waveform.duty = duty;
    findings.push_back(finding("crest factor, duty " + std::to_string(duty).substr(0, 4), std::sqrt(2 / duty),
                               crest_factor(waveform), 1e-12));
  }
  return findings;
}

std::vector<Finding> damped_train(Effort) {
  const Waveform waveform = damped(5e5, 4e-6, 3.3333333333333e-05);
  return {
      finding("crest factor, 500 kHz damped in 4 us, every 33.3 us", 5.127397585483392, crest_factor(waveform), 1e-10),
      // The exact share counts a burst to its very end, so that the period here leaves it the time.
      finding("share of the mean square after striking at 600 V of 3000 V", 0.9376954907244931,
              striking_fraction(damped(5e5, 4e-6, 1e-4), 600 / 2655.877855195758), 1e-10)};
}

std::vector<Finding> striking(Effort) {
  struct Row {
    double b, sine, slow_decay;
  };
  const Row rows[] = {{0.2, 0.9982815272497192, 0.9434090645976371},
                      {0.6, 0.9479559806690862, 0.5554355712524622},
                      {0.95, 0.6955052427034492, 0.06180110619526011}};
  std::vector<Finding> findings;
  const Waveform sine;
  // Thousands of cycles within the decay, and the decay gone within the period: the envelope's slow limit.
  const Waveform slow = damped(5e5, 4e-3, 4e-2);
  for (const Row& row : rows) {
    const std::string at = "strike at " + std::to_string(row.b).substr(0, 4) + " of the peak";
    findings.push_back(finding("sine, " + at, row.sine, striking_fraction(sine, row.b), 1e-10));
    findings.push_back(finding("slow decay, " + at, row.slow_decay, striking_fraction(slow, row.b), 1e-3, 1));
  }
  findings.push_back(finding("two polarities, strike at 0.4 and 0.5", 0.9784350042927633,
                             0.5 * (striking_fraction(sine, 0.4) + striking_fraction(sine, 0.5)), 1e-10));
  constexpr double spread = 0.2;
  const StrikingTable table(sine, spread);
  for (const double x : {0.3, 0.8, 1.1}) {
    const auto f = [](double u) { return (1 - u / pi + std::sin(2 * u) / (2 * pi)) * std::cos(u); };
    const double high = std::asin(std::min(1.0, x * (1 + spread)));
    const double exact = integral_of(f, std::asin(x * (1 - spread)), high, 20) / (2 * spread * x);
    findings.push_back(finding("sine, strike spread over 20 % about " + std::to_string(x).substr(0, 3) + " of the peak",
                               exact, table(x), 2e-5, 1));
  }
  return findings;
}

}  // namespace

std::vector<VerificationCheck> waveform_checks() {
  return {{"W1", "Gated sine", "elementary: crest factor sqrt(2/duty)", gated},
          {"W2", "Damped sine train", "closed form (own derivation)", damped_train},
          {"W3", "Striking function", "integrals of a sine from the strike to the zero crossing (own derivation)",
           striking}};
}

}  // namespace dryfront
