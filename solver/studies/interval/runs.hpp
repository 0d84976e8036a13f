// The interval of the depths: a small Latin hypercube over the ranges of what is assumed, run at sweep resolution.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "files/plan/assumed_ranges.hpp"
#include "simulation/case.hpp"
#include "studies/interval/depth_interval.hpp"
#include "studies/parallel_runs.hpp"

namespace dryfront {

// The least number of independent draws whose least and greatest value hold 90 % of a distribution with 95 % confidence
// is 46 (Wilks 1941, Ann. Math. Stat. 12:91).
inline constexpr int interval_points = 48;

// `here` is the case at the resolution of the runs, `drawn` makes of it the case with overrides (key.path=value)
// applied. The compared modes are the lowest and the highest crest factor. `points` are drawn. When stopped, when
// `here` has no result or when fewer than half of the runs have one, the answer says so in place of an interval.
IntervalAnswer depth_interval(const Case& here, const AssumedRanges& ranges,
                              const std::function<Case(const std::vector<std::string>&)>& drawn, int points,
                              const ParallelRuns& how);

}  // namespace dryfront
