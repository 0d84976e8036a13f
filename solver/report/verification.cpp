#include "report/verification.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/json.hpp"

namespace dryfront {
namespace {

std::string order_text(const Finding& f) {
  return std::isnan(f.least_order) ? "" : fmt::format("{:.2f} ({:g} to {:g})", f.order, f.least_order, f.most_order);
}

const char* verdict(bool passed) { return passed ? "ok" : "FAILED"; }

std::string summary(const std::vector<VerifiedCheck>& checks) {
  std::size_t numbers = 0, missed = 0, failed = 0;
  for (const VerifiedCheck& check : checks) {
    numbers += check.findings.size();
    missed += static_cast<std::size_t>(
        std::count_if(check.findings.begin(), check.findings.end(), [](const Finding& f) { return !f.passed(); }));
    failed += check.passed() ? 0U : 1U;
  }
  std::string text = fmt::format("{} checks with {} numbers: ", checks.size(), numbers);
  return text + (failed == 0 ? "all passed" : fmt::format("{} checks failed ({} numbers)", failed, missed));
}

}  // namespace

std::string verification_text(const std::vector<VerifiedCheck>& checks) {
  std::string text;
  for (const VerifiedCheck& check : checks) {
    text += fmt::format("\n{}  {}  [{:.1f} s] {}\n    {}\n", check.id, check.title, check.seconds,
                        verdict(check.passed()), check.source);
    if (!check.failure.empty()) text += fmt::format("    broken off: {}\n", check.failure);
    if (check.findings.empty()) continue;
    text += fmt::format("    {:<66} {:>13} {:>13} {:>9} {:>9}  {:<20}\n", "", "exact", "computed", "error", "allowed",
                        "observed order");
    for (const Finding& f : check.findings) {
      text += fmt::format("    {:<66} {:>13.7g} {:>13.7g} {:>9.2e} {:>9.1e}  {:<20} {}\n", f.quantity, f.exact,
                          f.computed, f.error, f.allowed, order_text(f), verdict(f.passed()));
    }
  }
  return text + '\n' + summary(checks) + '\n';
}

std::string verification_markdown(const std::vector<VerifiedCheck>& checks) {
  std::string text = summary(checks) + ".\n";
  for (const VerifiedCheck& check : checks) {
    text += fmt::format("\n### {} {}\n\nSource: {}\n\n", check.id, check.title, check.source);
    if (!check.failure.empty()) text += fmt::format("Broken off: {}\n\n", check.failure);
    text +=
        "| quantity | exact | computed | error | allowed | observed order (bounds) | "
        "|\n|---|---|---|---|---|---|---|\n";
    for (const Finding& f : check.findings) {
      text += fmt::format("| {} | {:.7g} | {:.7g} | {:.1e} | {:.1e} | {} | {} |\n", f.quantity, f.exact, f.computed,
                          f.error, f.allowed, order_text(f), verdict(f.passed()));
    }
  }
  return text;
}

std::string verification_json(const std::vector<VerifiedCheck>& checks) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  bool passed = true;
  for (const VerifiedCheck& check : checks) {
    passed = passed && check.passed();
    nlohmann::ordered_json findings = nlohmann::ordered_json::array();
    for (const Finding& f : check.findings) {
      findings.push_back({{"quantity", f.quantity},
                          {"exact", number_or_null(f.exact)},
                          {"computed", number_or_null(f.computed)},
                          {"error", number_or_null(f.error)},
                          {"allowed", number_or_null(f.allowed)},
                          {"order", number_or_null(f.order)},
                          {"least_order", number_or_null(f.least_order)},
                          {"most_order", number_or_null(f.most_order)},
                          {"passed", f.passed()}});
    }
    list.push_back({{"check", check.id},
                    {"title", check.title},
                    {"source", check.source},
                    {"passed", check.passed()},
                    {"failure", check.failure},
                    {"wall_s", check.seconds},
                    {"numbers", findings}});
  }
  return nlohmann::ordered_json({{"passed", passed}, {"checks", list}}).dump(2) + '\n';
}

}  // namespace dryfront
