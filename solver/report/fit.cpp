#include "report/fit.hpp"

#include <fmt/format.h>

#include <cmath>
#include <set>

#include "files/caution.hpp"
#include "files/json.hpp"
#include "physics/tissue.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double notable_p = 0.05;

// Three digits are more than any of the intervals bears.
std::string digits(double value) { return std::isnan(value) ? "-" : fmt::format("{:.3g}", value); }
std::string range(const Middle90& of) { return digits(of.low) + " to " + digits(of.high); }

std::string parameter_rows(const FitSummary& summary) {
  std::size_t width = 9;
  for (const ParameterEstimate& p : summary.parameters) width = std::max(width, p.key.size());
  std::string text = fmt::format("{:<{}}  {:>8}  {:>18}  {:>9}  {:>18}  {}\n", "", width, "in case", "90 % before",
                                 "estimate", "90 % interval", "width left");
  for (const ParameterEstimate& p : summary.parameters) {
    text += fmt::format("{:<{}}  {:>8}  {:>18}  ", p.key, width, digits(p.here), range(p.prior));
    text += p.open ? fmt::format("{:>9}  {:>18}", "open", "as before")
                   : fmt::format("{:>9}  {:>18}", digits(p.posterior.median), range(p.posterior));
    text += fmt::format("  {:.0f} %\n", 100 * p.width_share);
  }
  if (summary.discrepancy) {
    text += fmt::format("{:<{}}  {:>8}  {:>18}  {:>9}  {:>18}\n", "model off by", width, "",
                        range(*summary.prior_discrepancy), digits(summary.discrepancy->median),
                        range(*summary.discrepancy));
  }
  return text;
}

// What no interval says by itself.
std::string what_stays_open(const FitSummary& summary) {
  std::string text;
  for (const ParameterEstimate& p : summary.parameters) {
    if (p.open) {
      text += wrapped(fmt::format("{}: not identified. These measurements leave {:.0f} % of the width it had before; "
                                  "there is no estimate of it.",
                                  p.key, 100 * p.width_share),
                      "- ");
    } else if (p.at_end) {
      text += wrapped(fmt::format("{}: its interval ends where its range ends; there the range bounds it, not the "
                                  "measurements.",
                                  p.key),
                      "- ");
    }
  }
  for (std::size_t k = 0; k < summary.parameters.size(); ++k) {
    for (std::size_t m = 0; m < k; ++m) {
      const double correlation = summary.correlation[k][m];
      if (std::abs(correlation) < tied_correlation) continue;
      text += wrapped(fmt::format("{} and {}: known only together (correlation {:+.2f}); each alone may be off by its "
                                  "whole interval while both fit.",
                                  summary.parameters[m].key, summary.parameters[k].key, correlation),
                      "- ");
    }
  }
  return text;
}

std::string correlation_rows(const FitSummary& summary) {
  if (summary.parameters.size() < 2) return "";
  std::string text = "\nCorrelation of the parameters\n";
  for (std::size_t k = 1; k < summary.parameters.size(); ++k) {
    for (std::size_t m = 0; m < k; ++m) {
      text += fmt::format("  {:+.2f}  {}, {}\n", summary.correlation[k][m], summary.parameters[m].key,
                          summary.parameters[k].key);
    }
  }
  return text;
}

// The specimens with one number of one set-up.
std::string output_rows(const FitReport& report, std::size_t output, bool held_out) {
  const FitOutput& of = report.fit.problem.outputs[output];
  std::string text;
  for (const RowFit& row : report.summary.rows) {
    const Observation& o = *row.measured;
    if (o.output != output || o.held_out != held_out) continue;
    if (text.empty()) {
      text = wrapped(
          fmt::format("{} [{}]{}: computed {}", of.words, of.unit, held_out ? ", held out" : "", digits(row.computed)));
    }
    text += fmt::format("  {:<12.12}{:>8} +- {:<7}predicted {:<16}{}{}\n", o.specimen,
                        o.none ? "none" : digits(o.value), digits(o.spread), range(row.predicted),
                        std::isnan(row.residual) ? "" : fmt::format("residual {:+.1f}", row.residual),
                        held_out && !row.inside ? "  outside" : "");
  }
  return text;
}

std::string rows_text(const FitReport& report) {
  std::string text = "\nSpecimens: measured, what 90 % of specimens like it would measure, residual in deviations\n";
  for (const bool held_out : {false, true}) {
    for (std::size_t k = 0; k < report.fit.problem.outputs.size(); ++k) text += output_rows(report, k, held_out);
  }
  return text;
}

std::string misfit_text(const FitSummary& summary) {
  std::string text = fmt::format("Misfit of all {} fitted numbers: p = {:.2f}", summary.whole.numbers, summary.whole.p);
  text += summary.whole.p < notable_p
              ? ": the model cannot follow them within spreads and discrepancy. Do not quote the "
                "estimates."
              : ".";
  const double each = notable_p / static_cast<double>(std::max<std::size_t>(1, summary.specimens.size()));
  for (const MisfitTest& test : summary.specimens) {
    if (test.p < each) {
      text += fmt::format(" Specimen {} stands out (p = {:.1g}, {} numbers).", test.specimen, test.p, test.numbers);
    }
  }
  text = wrapped(text);
  if (summary.held_out > 0) {
    text += wrapped(fmt::format("Held out: {} of {} measured numbers lie within their predicted 90 %.",
                                summary.held_out_inside, summary.held_out));
  }
  return text;
}

std::string pair_text(const FitReport& report) {
  if (!report.summary.pair) return "";
  const PairForecast& pair = *report.summary.pair;
  const FitProblem& problem = report.fit.problem;
  std::string text = "\nThe pair of the case, 90 % interval before and after\n";
  const auto line = [&](const std::string& words, const Middle90& before, const Middle90& after) {
    text += fmt::format("  {:<62.62}{:>17}{:>17}\n", words, range(before), range(after));
  };
  line(problem.outputs[problem.pair->first].words + ", mm", pair.prior_first, pair.first);
  line(problem.outputs[problem.pair->second].words + ", mm", pair.prior_second, pair.second);
  line("ratio of the two", pair.prior_ratio, pair.ratio);
  return text;
}

std::string next_text(const FitReport& report) {
  if (report.summary.next.empty()) return "";
  std::string text = "\nWhat one more specimen would take off the width of the ratio's interval\n";
  for (const NextMeasurement& next : report.summary.next) {
    const FitOutput& output = report.fit.problem.outputs[next.output];
    text += wrapped(fmt::format("{} (spread {} {})", output.words, digits(next.spread), output.unit),
                    fmt::format("  {:>4.0f} %  ", 100 * next.narrowing));
  }
  return text +
         wrapped("By linear regression over the draws, as if all were normal: an order of merit, not a promise.");
}

std::string method_text(const FitReport& report) {
  const Fit& fit = report.fit;
  const EmulatorTest& test = fit.tests.back();
  const double ratio = test.worst_ratio();
  std::string text = fmt::format(
      "{} runs of {} set-ups at {}, {} of them without a result. The emulator was tested at {} points of the "
      "posterior that it had not seen: its error is at most {:.2f} of the posterior's deviation",
      fit.runs, fit.problem.setups.size(), report.resolution, fit.failed, test.points, ratio);
  text += ratio < wanted_ratio ? "." : fmt::format(", more than the {} wanted; it widens the intervals.", wanted_ratio);
  text += fmt::format(" Chains: R-hat up to {:.3f}, at least {:.0f} effective draws. Seed {}.", fit.draws.worst_r_hat(),
                      fit.draws.least_effective(), fit.settings.seed);
  if (fit.past_range > 0) {
    text += fmt::format(" {} of the runs passed {:.0f} \u00b0C, up to which the model knows tissue.", fit.past_range,
                        hottest_known);
  }
  if (fit.settings.discrepancy == 0) text += " Without a discrepancy: the model is taken to be right.";
  if (report.outline_points > 0) text += fmt::format(" {} points of outlines are not used.", report.outline_points);
  return wrapped(text);
}

Json middle_json(const Middle90& of) {
  return {{"low", number_or_null(of.low)}, {"median", number_or_null(of.median)}, {"high", number_or_null(of.high)}};
}

Json parameter_json(const ParameterEstimate& p) {
  return {{"key", p.key},
          {"here", number_or_null(p.here)},
          {"prior", middle_json(p.prior)},
          {"identified", !p.open},
          {"posterior", p.open ? Json(nullptr) : middle_json(p.posterior)},
          {"mode", p.open ? Json(nullptr) : number_or_null(p.mode)},
          {"width_left", number_or_null(p.width_share)},
          {"bounded_by_range", p.at_end},
          {"histogram", {{"edges", p.edges}, {"posterior_over_prior", p.over_prior}}}};
}

Json row_json(const FitReport& report, const RowFit& row) {
  const Observation& o = *row.measured;
  const FitOutput& output = report.fit.problem.outputs[o.output];
  return {{"specimen", o.specimen},
          {"what", output.words},
          {"unit", output.unit},
          {"place", o.place},
          {"held_out", o.held_out},
          {"measured", o.none ? Json("none") : number_or_null(o.value)},
          {"spread", number_or_null(o.spread)},
          {"computed", number_or_null(row.computed)},
          {"predicted", middle_json(row.predicted)},
          {"residual", number_or_null(row.residual)},
          {"inside", row.inside}};
}

Json emulator_json(const FitReport& report) {
  Json tests = Json::array();
  for (const EmulatorTest& test : report.fit.tests) {
    Json outputs = Json::array();
    for (std::size_t k = 0; k < test.error.size(); ++k) {
      outputs.push_back({{"what", report.fit.problem.outputs[k].words},
                         {"unit", report.fit.problem.outputs[k].unit},
                         {"error", number_or_null(test.error[k])},
                         {"posterior_deviation", number_or_null(test.deviation[k])}});
    }
    tests.push_back(
        {{"points", test.points}, {"worst_ratio", number_or_null(test.worst_ratio())}, {"outputs", outputs}});
  }
  return {{"first_points", report.fit.first_points},
          {"runs", report.fit.runs},
          {"failed", report.fit.failed},
          {"past_range", report.fit.past_range},
          {"first_failure", report.fit.failed == 0 ? Json(nullptr) : Json(report.fit.reason)},
          {"wanted_ratio", wanted_ratio},
          {"tests", tests}};
}

Json sampling_json(const PosteriorDraws& draws) {
  return {{"draws", draws.scores.size()},
          {"steps_per_chain", draws.steps},
          {"accepted", number_or_null(draws.accepted)},
          {"worst_r_hat", number_or_null(draws.worst_r_hat())},
          {"least_effective", number_or_null(draws.least_effective())}};
}

Json pair_json(const FitReport& report) {
  if (!report.summary.pair) return nullptr;
  const PairForecast& pair = *report.summary.pair;
  const FitProblem& problem = report.fit.problem;
  const auto both = [](const Middle90& before, const Middle90& after) {
    return Json{{"before", middle_json(before)}, {"after", middle_json(after)}};
  };
  return {{"first", problem.outputs[problem.pair->first].words},
          {"second", problem.outputs[problem.pair->second].words},
          {"first_mm", both(pair.prior_first, pair.first)},
          {"second_mm", both(pair.prior_second, pair.second)},
          {"ratio", both(pair.prior_ratio, pair.ratio)}};
}

}  // namespace

std::string scope_text(const FitProblem& problem) {
  std::set<std::size_t> fitted;
  for (const Observation& o : problem.observations) {
    if (!o.held_out) fitted.insert(problem.setups[problem.outputs[o.output].setup].mode);
  }
  if (problem.fits_both()) {
    return "This is a fit of both modes: what it says about their ratio was put in, and is no prediction.";
  }
  std::string modes;
  for (const std::size_t mode : fitted) modes += (modes.empty() ? "" : "; ") + problem.modes[mode];
  return fmt::format("Fitted: {}. What is said of another mode is a prediction.", modes);
}

std::string fit_text(const FitReport& report) {
  std::string text = wrapped(report.title) + wrapped(scope_text(report.fit.problem)) + "\n";
  text += parameter_rows(report.summary) + what_stays_open(report.summary) + correlation_rows(report.summary);
  text += rows_text(report) + misfit_text(report.summary) + pair_text(report) + next_text(report);
  return text + "\n" + method_text(report) +
         wrapped(
             fmt::format("The intervals hold if the model is right within its discrepancy and the ranges before are "
                         "fair. {}",
                         caution));
}

Json fit_json(const FitReport& report, const std::string& version) {
  const FitSummary& summary = report.summary;
  Json object{{"version", version},
              {"title", report.title},
              {"case", report.case_path},
              {"sections", report.sections_path},
              {"resolution", report.resolution},
              {"share", 0.9},
              {"seed", report.fit.settings.seed},
              {"both_modes", report.fit.problem.fits_both()},
              {"scope", scope_text(report.fit.problem)}};
  object["parameters"] = Json::array();
  for (const ParameterEstimate& p : summary.parameters) object["parameters"].push_back(parameter_json(p));
  object["correlation"] = summary.correlation;
  object["discrepancy"] = nullptr;
  if (summary.discrepancy) {
    object["discrepancy"] = {{"prior", middle_json(*summary.prior_discrepancy)},
                             {"posterior", middle_json(*summary.discrepancy)}};
  }
  object["rows"] = Json::array();
  for (const RowFit& row : summary.rows) object["rows"].push_back(row_json(report, row));
  object["misfit"] = {{"p", number_or_null(summary.whole.p)}, {"numbers", summary.whole.numbers}};
  object["misfit"]["specimens"] = Json::array();
  for (const MisfitTest& test : summary.specimens) {
    object["misfit"]["specimens"].push_back(
        {{"specimen", test.specimen}, {"p", number_or_null(test.p)}, {"numbers", test.numbers}});
  }
  object["held_out"] = {{"numbers", summary.held_out}, {"inside", summary.held_out_inside}};
  object["pair"] = pair_json(report);
  object["next"] = Json::array();
  for (const NextMeasurement& next : summary.next) {
    object["next"].push_back({{"what", report.fit.problem.outputs[next.output].words},
                              {"spread", number_or_null(next.spread)},
                              {"narrowing", number_or_null(next.narrowing)}});
  }
  object["outline_points_not_used"] = report.outline_points;
  object["emulator"] = emulator_json(report);
  object["sampling"] = sampling_json(report.fit.draws);
  object["caution"] = caution;
  return object;
}

std::string draws_csv(const Fit& fit) {
  std::string text;
  for (const PlanAxis& parameter : fit.problem.parameters) text += parameter.keys.front() + ",";
  text += "discrepancy\n";
  const Posterior posterior = posterior_of(fit);
  for (const std::vector<double>& scores : fit.draws.scores) {
    for (std::size_t k = 0; k < fit.problem.parameters.size(); ++k) {
      text += fmt::format("{},", parameter_at(fit.problem.parameters[k], share_of_score(scores[k])));
    }
    text += fmt::format("{}\n", posterior.discrepancy(scores));
  }
  return text;
}

std::string fitted_case_head(const FitReport& report) {
  std::string text = fmt::format("# {} fitted to {} by dryfront fit, seed {}.\n# {}\n", report.case_path,
                                 report.sections_path, report.fit.settings.seed, scope_text(report.fit.problem));
  for (const ParameterEstimate& p : report.summary.parameters) {
    text += p.open ? fmt::format("# {}: not identified by the measurements; as in the case\n", p.key)
                   : fmt::format("# {}: {:.4g} at the greatest posterior density; 90 % interval {}\n", p.key, p.mode,
                                 range(p.posterior));
  }
  return text + "# " + caution + "\n\n";
}

}  // namespace dryfront
