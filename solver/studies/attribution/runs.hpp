// The runs behind an attribution: one of every mixture of two modes, and both modes with one mechanism off at a time.
#pragma once

#include <string>
#include <vector>

#include "physics/mechanism.hpp"
#include "simulation/record.hpp"
#include "studies/attribution/mixture.hpp"
#include "studies/parallel_runs.hpp"

namespace dryfront {

// Both modes with one mechanism off that is on in the case.
struct ConditionRuns {
  const Mechanism* off;
  std::size_t first, second;  // indices of runs
};

// Runs that are the same problem are computed once and shared.
struct AttributionRuns {
  std::vector<Player> players;           // in which the modes differ
  std::vector<ModeRecord> run;           // the distinct ones
  std::vector<std::string> failed;       // per run: what went wrong with the numbers; empty where nothing did
  std::vector<std::size_t> of_mixture;   // per coalition of `players`: index into `run`
  std::vector<ConditionRuns> condition;  // per mechanism that is on in the case

  Coalition all() const { return of_mixture.size() - 1; }
  const ModeRecord& mixture(Coalition coalition) const { return run[of_mixture[coalition]]; }
  const ModeRecord& first() const { return mixture(0); }
  const ModeRecord& second() const { return mixture(all()); }
};

// Runs them for the two modes of `two`; the result does not depend on the number of threads. When stopped,
// records come back with completed = false. Throws NumericalFailure, with the mixture named, where a mixture fails; a
// condition that fails is only noted, since the shares do not need it.
AttributionRuns attribution_runs(const Case& two, const ParallelRuns& how);

}  // namespace dryfront
