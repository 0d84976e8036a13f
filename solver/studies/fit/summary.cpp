#include "studies/fit/summary.hpp"

#include <algorithm>
#include <boost/math/special_functions/gamma.hpp>
#include <cassert>
#include <cmath>
#include <map>

#include "numerics/counter_random.hpp"
#include "studies/sweep/sensitivity.hpp"

namespace dryfront {
namespace {

constexpr double tail = 0.05;

Middle90 middle_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return {sorted_quantile(values, tail), sorted_quantile(values, 0.5), sorted_quantile(values, 1 - tail)};
}

// The draws with all that follows from them.
struct DrawnOutputs {
  std::vector<std::vector<double>> computed;  // per draw, per output
  std::vector<double> discrepancy;            // t, per draw
};

DrawnOutputs outputs_over(const Posterior& posterior, const std::vector<std::vector<double>>& scores) {
  DrawnOutputs drawn;
  for (const std::vector<double>& z : scores) {
    drawn.computed.push_back(posterior.outputs(z));
    drawn.discrepancy.push_back(posterior.discrepancy(z));
  }
  return drawn;
}

void add_histogram(const Fit& fit, std::size_t k, ParameterEstimate& estimate) {
  constexpr std::size_t slices = 20;
  constexpr double outermost = 1e-6;  // of the prior: a quantile has no ends
  const auto width = 1.0 / static_cast<double>(slices);
  for (std::size_t slice = 0; slice <= slices; ++slice) {
    const double share = std::clamp(static_cast<double>(slice) * width, outermost, 1 - outermost);
    estimate.edges.push_back(parameter_at(fit.problem.parameters[k], share));
  }
  estimate.over_prior.assign(slices, 0);
  for (const std::vector<double>& z : fit.draws.scores) {
    const auto slice = static_cast<std::size_t>(share_of_score(z[k]) * static_cast<double>(slices));
    estimate.over_prior[std::min(slice, slices - 1)] += 1 / (width * static_cast<double>(fit.draws.scores.size()));
  }
}

ParameterEstimate estimate_of(const Fit& fit, std::size_t k) {
  const PlanAxis& axis = fit.problem.parameters[k];
  std::vector<double> shares;
  for (const std::vector<double>& z : fit.draws.scores) shares.push_back(share_of_score(z[k]));
  const Middle90 of = middle_of(shares);
  ParameterEstimate estimate;
  estimate.key = axis.keys.front();
  estimate.here = axis.base;
  estimate.prior = {parameter_at(axis, tail), parameter_at(axis, 0.5), parameter_at(axis, 1 - tail)};
  estimate.posterior = {parameter_at(axis, of.low), parameter_at(axis, of.median), parameter_at(axis, of.high)};
  estimate.mode = parameter_at(axis, share_of_score(fit.draws.mode[k]));
  estimate.width_share = (of.high - of.low) / (1 - 2 * tail);
  estimate.open = estimate.width_share >= open_share;
  // Within a twentieth of an end the density has not fallen before the range stops it.
  estimate.at_end = !estimate.open && (of.low < tail || of.high > 1 - tail);
  add_histogram(fit, k, estimate);
  return estimate;
}

std::vector<std::vector<double>> correlations_of(const Fit& fit) {
  const std::size_t count = fit.problem.parameters.size();
  const auto draws = static_cast<double>(fit.draws.scores.size());
  std::vector<double> mean(count, 0);
  for (const auto& z : fit.draws.scores) {
    for (std::size_t k = 0; k < count; ++k) mean[k] += z[k] / draws;
  }
  std::vector<std::vector<double>> sums(count, std::vector<double>(count, 0));
  for (const auto& z : fit.draws.scores) {
    for (std::size_t k = 0; k < count; ++k) {
      for (std::size_t m = 0; m < count; ++m) sums[k][m] += (z[k] - mean[k]) * (z[m] - mean[m]);
    }
  }
  std::vector<std::vector<double>> correlation = sums;
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t m = 0; m < count; ++m) correlation[k][m] = sums[k][m] / std::sqrt(sums[k][k] * sums[m][m]);
  }
  return correlation;
}

RowFit row_fit(const Fit& fit, const Posterior& posterior, const DrawnOutputs& drawn, std::size_t row) {
  const Observation& o = fit.problem.observations[row];
  CounterRandom chance(scrambled(static_cast<std::uint64_t>(fit.settings.seed), 5000 + row));
  std::vector<double> computed, predicted;
  double variance = 0;
  for (std::size_t k = 0; k < drawn.computed.size(); ++k) {
    const double f = drawn.computed[k][o.output];
    const double deviation = std::hypot(o.spread, posterior.common_deviation(o.output, f, drawn.discrepancy[k]));
    computed.push_back(f);
    predicted.push_back(f + deviation * chance.normal());
    variance += deviation * deviation / static_cast<double>(drawn.computed.size());
  }
  RowFit fitted{&o, middle_of(computed).median, middle_of(predicted), 0, false};
  if (o.none) {
    fitted.residual = not_a_number;
    fitted.inside = fitted.predicted.high >= fit.problem.setups[fit.problem.outputs[o.output].setup].activation;
  } else {
    fitted.residual = (o.value - fitted.computed) / std::sqrt(variance);
    fitted.inside = o.value >= fitted.predicted.low && o.value <= fitted.predicted.high;
  }
  return fitted;
}

double exceeding(double numbers, double chi_square) { return boost::math::gamma_q(0.5 * numbers, 0.5 * chi_square); }

// Of the fitted numbers that `belongs` picks; each output's common deviation counted with all its numbers.
template <class Belongs>
MisfitTest misfit_of(const Fit& fit, const Posterior& posterior, const DrawnOutputs& drawn, std::string name,
                     const Belongs& belongs) {
  std::map<std::size_t, std::vector<const Observation*>> groups;
  MisfitTest test{std::move(name), 0, 0};
  for (const Observation& o : fit.problem.observations) {
    if (o.held_out || o.none || !belongs(o)) continue;
    groups[o.output].push_back(&o);
    ++test.numbers;
  }
  if (test.numbers == 0) return {test.specimen, 0, 1};
  for (std::size_t k = 0; k < drawn.computed.size(); ++k) {
    double chi_square = 0;
    for (const auto& [output, of] : groups) {
      const double f = drawn.computed[k][output];
      const double c = posterior.common_deviation(output, f, drawn.discrepancy[k]);
      double weights = 0, pull = 0;
      for (const Observation* o : of) {
        const double weight = 1 / (o->spread * o->spread);
        weights += weight;
        pull += weight * (o->value - f);
        chi_square += weight * (o->value - f) * (o->value - f);
      }
      chi_square -= c * c * pull * pull / (1 + c * c * weights);
    }
    test.p += exceeding(static_cast<double>(test.numbers), chi_square) / static_cast<double>(drawn.computed.size());
  }
  return test;
}

void add_misfits(const Fit& fit, const Posterior& posterior, const DrawnOutputs& drawn, FitSummary& summary) {
  summary.whole = misfit_of(fit, posterior, drawn, "", [](const Observation&) { return true; });
  std::vector<std::string> names;
  for (const Observation& o : fit.problem.observations) {
    if (!o.held_out && std::find(names.begin(), names.end(), o.specimen) == names.end()) names.push_back(o.specimen);
  }
  for (const std::string& name : names) {
    summary.specimens.push_back(
        misfit_of(fit, posterior, drawn, name, [&name](const Observation& o) { return o.specimen == name; }));
  }
}

// Both depths and their ratio, each with its share of discrepancy and emulator's error drawn.
void add_pair(const Posterior& posterior, const std::pair<std::size_t, std::size_t>& pair, const DrawnOutputs& drawn,
              std::uint64_t key, Middle90& first, Middle90& second, Middle90& ratio) {
  CounterRandom chance(key);
  std::vector<double> a, b, over;
  for (std::size_t k = 0; k < drawn.computed.size(); ++k) {
    const auto depth = [&](std::size_t output) {
      const double f = drawn.computed[k][output];
      // A depth below zero is none.
      return std::max(0.0, f + posterior.common_deviation(output, f, drawn.discrepancy[k]) * chance.normal());
    };
    a.push_back(depth(pair.first));
    b.push_back(depth(pair.second));
    if (b.back() > 0) over.push_back(a.back() / b.back());
  }
  first = middle_of(std::move(a));
  second = middle_of(std::move(b));
  ratio = middle_of(std::move(over));
}

std::vector<std::vector<double>> prior_scores(const Fit& fit, std::size_t dimensions) {
  constexpr std::size_t count = 2000;
  CounterRandom chance(scrambled(static_cast<std::uint64_t>(fit.settings.seed), 7000));
  std::vector<std::vector<double>> scores(count, std::vector<double>(dimensions));
  for (auto& z : scores) {
    for (double& score : z) score = chance.normal();
  }
  return scores;
}

double usual_spread(const Fit& fit, MeasuredKind kind) {
  std::vector<double> spreads;
  for (const Observation& o : fit.problem.observations) {
    if (fit.problem.outputs[o.output].kind == kind) spreads.push_back(o.spread);
  }
  return spreads.empty() ? not_a_number : middle_of(std::move(spreads)).median;
}

void add_next(const Fit& fit, const Posterior& posterior, const DrawnOutputs& drawn, FitSummary& summary) {
  const auto count = static_cast<double>(drawn.computed.size());
  std::vector<double> ratio;
  for (const auto& f : drawn.computed) ratio.push_back(f[fit.problem.pair->first] / f[fit.problem.pair->second]);
  for (const std::size_t output : fit.problem.candidates) {
    NextMeasurement next{output, usual_spread(fit, fit.problem.outputs[output].kind), 0};
    if (std::isnan(next.spread)) continue;
    double mean_r = 0, mean_x = 0, common = 0;
    for (std::size_t k = 0; k < ratio.size(); ++k) {
      const double f = drawn.computed[k][output];
      mean_r += ratio[k] / count;
      mean_x += f / count;
      const double c = posterior.common_deviation(output, f, drawn.discrepancy[k]);
      common += c * c / count;
    }
    double rr = 0, rx = 0, xx = 0;
    for (std::size_t k = 0; k < ratio.size(); ++k) {
      const double r = ratio[k] - mean_r, x = drawn.computed[k][output] - mean_x;
      rr += r * r / count;
      rx += r * x / count;
      xx += x * x / count;
    }
    const double left = 1 - rx * rx / (rr * (xx + next.spread * next.spread + common));
    next.narrowing = 1 - std::sqrt(std::max(left, 0.0));
    summary.next.push_back(next);
  }
  std::stable_sort(summary.next.begin(), summary.next.end(),
                   [](const NextMeasurement& a, const NextMeasurement& b) { return a.narrowing > b.narrowing; });
}

}  // namespace

FitSummary summary_of(const Fit& fit) {
  assert(!fit.draws.scores.empty());
  FitSummary summary;
  const Posterior posterior = posterior_of(fit);
  const DrawnOutputs drawn = outputs_over(posterior, fit.draws.scores);
  for (std::size_t k = 0; k < fit.problem.parameters.size(); ++k) summary.parameters.push_back(estimate_of(fit, k));
  summary.correlation = correlations_of(fit);
  if (fit.settings.discrepancy > 0) {
    summary.discrepancy = middle_of(drawn.discrepancy);
    const auto half_normal = [&](double share) {  // its score has as much of a standard normal below it
      return fit.settings.discrepancy * std::sqrt(2 * boost::math::gamma_p_inv(0.5, share));
    };
    summary.prior_discrepancy = Middle90{half_normal(tail), half_normal(0.5), half_normal(1 - tail)};
  }
  for (const bool held_out : {false, true}) {
    for (std::size_t row = 0; row < fit.problem.observations.size(); ++row) {
      if (fit.problem.observations[row].held_out != held_out) continue;
      summary.rows.push_back(row_fit(fit, posterior, drawn, row));
      summary.held_out += held_out ? 1U : 0U;
      summary.held_out_inside += held_out && summary.rows.back().inside ? 1U : 0U;
    }
  }
  add_misfits(fit, posterior, drawn, summary);
  if (fit.problem.pair) {
    PairForecast& pair = summary.pair.emplace();
    const auto key = static_cast<std::uint64_t>(fit.settings.seed);
    add_pair(posterior, *fit.problem.pair, drawn, scrambled(key, 6000), pair.first, pair.second, pair.ratio);
    const DrawnOutputs before = outputs_over(posterior, prior_scores(fit, posterior.dimensions()));
    add_pair(posterior, *fit.problem.pair, before, scrambled(key, 6001), pair.prior_first, pair.prior_second,
             pair.prior_ratio);
    add_next(fit, posterior, drawn, summary);
  }
  return summary;
}

}  // namespace dryfront
