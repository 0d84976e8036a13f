#include "studies/verification/verification.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <exception>
#include <iterator>
#include <utility>

#include "studies/parallel_runs.hpp"

namespace dryfront {

bool Finding::passed() const {
  if (!(error <= allowed) || !std::isfinite(computed)) return false;
  return std::isnan(least_order) || (order >= least_order && order <= most_order);
}

bool VerifiedCheck::passed() const {
  return failure.empty() && !findings.empty() &&
         std::all_of(findings.begin(), findings.end(), [](const Finding& f) { return f.passed(); });
}

Finding finding(std::string quantity, double exact, double computed, double allowed, double scale) {
  Finding result;
  result.quantity = std::move(quantity);
  result.exact = exact;
  result.computed = computed;
  result.error = std::abs(computed - exact) / std::abs(scale);
  result.allowed = allowed;
  return result;
}

Finding finding(std::string quantity, double exact, double computed, double allowed) {
  return finding(std::move(quantity), exact, computed, allowed, exact);
}

Finding with_order(Finding of, double order, double least, double most) {
  of.order = order;
  of.least_order = least;
  of.most_order = most;
  return of;
}

double observed_order(const std::vector<double>& errors) {
  return std::log2(errors[errors.size() - 2] / errors[errors.size() - 1]);
}

double fitted_order(const std::vector<double>& sizes, const std::vector<double>& errors) {
  double x = 0, y = 0, xx = 0, xy = 0;
  const auto n = static_cast<double>(sizes.size());
  for (std::size_t k = 0; k < sizes.size(); ++k) {
    const double log_size = std::log(sizes[k]);
    const double log_error = std::log(errors[k]);
    x += log_size;
    y += log_error;
    xx += log_size * log_size;
    xy += log_size * log_error;
  }
  return (n * xy - x * y) / (n * xx - x * x);
}

std::vector<VerificationCheck> verification_checks() {
  std::vector<VerificationCheck> all;
  for (auto subject :
       {electric_checks, electrode_shape_checks, contact_checks, rim_gap_checks, heat_checks, bioheat_checks,
        boiling_checks, moisture_checks, vapour_checks, damage_checks, waveform_checks, coupled_checks,
        manufactured_checks, burst_checks, record_checks, plane_checks, hold_checks, bench_checks}) {
    std::vector<VerificationCheck> some = subject();
    std::move(some.begin(), some.end(), std::back_inserter(all));
  }
  return all;
}

std::vector<VerifiedCheck> verify(const std::vector<VerificationCheck>& checks, Effort effort, int threads) {
  std::vector<VerifiedCheck> results(checks.size());
  run_in_parallel(checks.size(), {threads}, [&](std::size_t k) {
    using Clock = std::chrono::steady_clock;
    // Backwards: the long ones stand at the end of the list and should not be started last.
    const std::size_t at = checks.size() - 1 - k;
    const VerificationCheck& check = checks[at];
    VerifiedCheck& result = results[at];
    result = {check.id, check.title, check.source, {}, "", 0};
    const auto start = Clock::now();
    try {
      result.findings = check.run(effort);
    } catch (const std::exception& error) {  // reported with the check; the others go on
      result.failure = error.what();
    }
    result.seconds = std::chrono::duration<double>(Clock::now() - start).count();
  });
  return results;
}

}  // namespace dryfront
