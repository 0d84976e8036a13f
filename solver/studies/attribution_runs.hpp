// The runs behind an attribution: two drives with every combination of the mechanisms that can tell them apart.
//
// With a mechanism off, it is off for both drives. With `source` off, the second drive stands on the first one's source; with
// `dwell` off, it is on and watched for the first one's times. The second drive keeps its waveform throughout. A crest
// factor acts through striking, through breakdown and through the peak limit of the source, and through nothing else;
// the source is therefore lent with the limit of its rms voltage unchanged. So with all mechanisms off the two drives
// are the same problem, and the difference that is attributed starts at zero. What a peak limit does to the second drive
// through its crest factor counts to `source`.
#pragma once

#include <atomic>
#include <functional>
#include <string_view>
#include <vector>

#include "simulation/case.hpp"
#include "simulation/record.hpp"
#include "studies/attribution.hpp"

namespace dryfront {

enum class Mechanism { source, striking, crust, breakdown, moisture, dwell };

// "source", "striking", "crust", "breakdown", "re-wetting", "dwell".
std::string_view word(Mechanism mechanism);

// Whether two drives differ in nothing that the model sees: source, times, crest factor and striking function.
bool alike(const Drive& first, const Drive& second);

// The players between two drives: source; striking, crust, breakdown and moisture as far as they are on in the case; dwell
// when the times differ.
std::vector<Mechanism> mechanisms_between(const Case& c, const Drive& first, const Drive& second);

// The source of `lender` as `borrower` sees it: the peak limit scaled so that the rms limit is the lender's.
Source lent_source(const Drive& lender, const Drive& borrower);

// A case with the players of a coalition on and a single drive, the first (false) or the second (true) of the pair.
Case coalition_case(const Case& c, const Drive& first, const Drive& second, const std::vector<Mechanism>& players,
                    Coalition coalition, bool is_second);

// The records of both drives for every coalition; runs that are the same problem are computed once and shared.
struct CoalitionRuns {
  std::vector<Mechanism> players;
  std::vector<DriveRecord> run;                  // the distinct ones
  std::vector<std::size_t> of_first, of_second;  // per coalition: index into `run`
  const DriveRecord& first(Coalition coalition) const { return run[of_first[coalition]]; }
  const DriveRecord& second(Coalition coalition) const { return run[of_second[coalition]]; }
  Coalition all() const { return of_first.size() - 1; }
};

struct AttributionWork {
  int threads = 1;
  const std::atomic<bool>* stop = nullptr;                              // set to end early
  std::function<void(std::size_t done, std::size_t runs)> on_progress;  // from any thread, one at a time; may be empty
};

// Runs them, `threads` at a time; the result does not depend on `threads`. When stopped, records come back with completed =
// false. Throws NumericalFailure, with the mechanisms that were on named.
CoalitionRuns coalition_runs(const Case& c, const Drive& first, const Drive& second, const AttributionWork& work);

}  // namespace dryfront
