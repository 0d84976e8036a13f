// The runs behind an attribution: two modes with every combination of the mechanisms that can tell them apart.
//
// With a mechanism off, it is off for both modes. With `source` off, the second mode stands on the first one's source; with
// `activation` off, it is on and watched for the first one's times. The second mode keeps its waveform throughout. A crest
// factor acts through striking, through breakdown and through the peak limit of the source, and through nothing else;
// the source is therefore lent with the limit of its rms voltage unchanged. So with all mechanisms off the two modes
// are the same problem, and the difference that is attributed starts at zero. What a peak limit does to the second mode
// through its crest factor counts to `source`.
#pragma once

#include <atomic>
#include <functional>
#include <string_view>
#include <vector>

#include "simulation/case.hpp"
#include "simulation/record.hpp"
#include "studies/attribution/shapley.hpp"

namespace dryfront {

enum class Mechanism { source, arcing, eschar, breakdown, moisture, activation };

// "source", "arcing", "eschar", "breakdown", "re-wetting", "activation".
std::string_view word(Mechanism mechanism);

// Whether two modes differ in nothing that the model sees: source, times, crest factor and striking function.
bool alike(const Mode& first, const Mode& second);

// The players between two modes: source; striking, eschar, breakdown and moisture as far as they are on in the case; activation
// when the times differ.
std::vector<Mechanism> mechanisms_between(const Case& c, const Mode& first, const Mode& second);

// The source of `lender` as `borrower` sees it: the peak limit scaled so that the rms limit is the lender's.
Source lent_source(const Mode& lender, const Mode& borrower);

// A case with the players of a coalition on and a single mode, the first (false) or the second (true) of the pair.
Case coalition_case(const Case& c, const Mode& first, const Mode& second, const std::vector<Mechanism>& players,
                    Coalition coalition, bool is_second);

// The records of both modes for every coalition; runs that are the same problem are computed once and shared.
struct CoalitionRuns {
  std::vector<Mechanism> players;
  std::vector<ModeRecord> run;                   // the distinct ones
  std::vector<std::size_t> of_first, of_second;  // per coalition: index into `run`
  const ModeRecord& first(Coalition coalition) const { return run[of_first[coalition]]; }
  const ModeRecord& second(Coalition coalition) const { return run[of_second[coalition]]; }
  Coalition all() const { return of_first.size() - 1; }
};

struct AttributionWork {
  int threads = 1;
  const std::atomic<bool>* stop = nullptr;                              // set to end early
  std::function<void(std::size_t done, std::size_t runs)> on_progress;  // from any thread, one at a time; may be empty
};

// Runs them, `threads` at a time; the result does not depend on `threads`. When stopped, records come back with completed =
// false. Throws NumericalFailure, with the mechanisms that were on named.
CoalitionRuns coalition_runs(const Case& c, const Mode& first, const Mode& second, const AttributionWork& work);

}  // namespace dryfront
