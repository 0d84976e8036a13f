// What a fit says: estimates, what the data leave open, misfit, predictions, what to measure next.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "studies/fit/fit.hpp"

namespace dryfront {

// 5 %, 50 % and 95 % quantile.
struct Middle90 {
  double low = 0, median = 0, high = 0;
};

// From this share of the prior's width on the data are said to leave a parameter open, and not to bear an estimate.
inline constexpr double open_share = 0.85;
// From this correlation on two parameters are said to be known only together.
inline constexpr double tied_correlation = 0.9;

struct ParameterEstimate {
  std::string key;  // the first, when an axis sets several
  double here = 0;  // in the case, in the key's unit
  Middle90 prior, posterior;
  double mode = 0;         // of the greatest density
  double width_share = 0;  // posterior's width over prior's, both in shares of the prior
  bool open = false;
  // Posterior over prior in slices that hold the same share of the prior; edges in the key's unit, one more.
  std::vector<double> edges{}, over_prior{};
  bool at_end = false;  // the interval touches an end of the range: the range, not the data, bounds it there
};

// A fitted or held-out number and what the posterior says a specimen like it measures.
struct RowFit {
  const Observation* measured = nullptr;
  double computed = 0;  // median of the posterior
  Middle90 predicted;   // with spread, discrepancy and emulator's error
  double residual = 0;  // measured less computed, over the deviation of all these; dry-out "none": not a number
  bool inside = false;  // the measured one lies in the predicted 90 %
};

// Posterior predictive test of the residuals (Gelman, Meng, Stern 1996, Statistica Sinica 6:733): mean over the draws
// of the probability that chi square of as many degrees of freedom exceeds that of the residuals. It is on the cautious
// side: the same numbers were fitted.
struct MisfitTest {
  std::string specimen;  // empty: all together
  std::size_t numbers = 0;
  double p = 1;
};

struct PairForecast {
  Middle90 first, second, ratio;                    // with discrepancy and emulator's error, without spread [mm, mm, 1]
  Middle90 prior_first, prior_second, prior_ratio;  // by the emulator over the prior
};

// What one further specimen would do for the ratio of the pair's depths.
struct NextMeasurement {
  std::size_t output = 0;
  double spread = 0;     // assumed for it
  double narrowing = 0;  // 1 - deviation afterwards/deviation now
};

struct FitSummary {
  std::vector<ParameterEstimate> parameters;
  std::optional<Middle90> discrepancy, prior_discrepancy;  // t
  std::vector<std::vector<double>> correlation;            // of the scores of the parameters
  std::vector<RowFit> rows;                                // fitted, then held out
  std::vector<MisfitTest> specimens;
  MisfitTest whole;
  std::size_t held_out = 0, held_out_inside = 0;
  std::optional<PairForecast> pair;
  std::vector<NextMeasurement> next;  // the most telling first
};

// The same fit and seed give the same numbers. The fit's draws agree (asserted).
FitSummary summary_of(const Fit& fit);

}  // namespace dryfront
