#include "files/case/case_error.hpp"

#include <algorithm>
#include <cassert>
#include <cctype>
#include <limits>
#include <utility>
#include <vector>

namespace dryfront {

namespace {

std::string message(const CaseProblem& problem) {
  std::string text = problem.place.empty() ? problem.what : problem.place + ": " + problem.what;
  if (!problem.given.empty()) text += "\n  given: " + problem.given;
  if (!problem.allowed.empty()) text += "\n  allowed: " + problem.allowed;
  if (!problem.nearest.empty()) text += "\n  did you mean '" + problem.nearest + "'?";
  return text;
}

std::string message(const std::vector<CaseProblem>& problems) {
  std::string text;
  for (const CaseProblem& problem : problems) text += (text.empty() ? "" : "\n\n") + message(problem);
  if (problems.size() > 1) text += "\n\n" + std::to_string(problems.size()) + " problems";
  return text;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  const auto same = [](char x, char y) {
    return std::tolower(static_cast<unsigned char>(x)) == std::tolower(static_cast<unsigned char>(y));
  };
  std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = last[j - 1] + (same(a[i - 1], b[j - 1]) ? 0 : 1);
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, replaced});
      const bool swapped = i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    before.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

}  // namespace

CaseError::CaseError(const CaseProblem& problem) : CaseError(std::vector<CaseProblem>{problem}) {}

CaseError::CaseError(std::vector<CaseProblem> problems)
    : std::runtime_error(message(problems)), problems_(std::move(problems)) {
  assert(!problems_.empty());
}

std::string nearest_name(std::string_view name, std::span<const std::string> candidates) {
  std::string best;
  std::size_t least = std::numeric_limits<std::size_t>::max();
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(name, candidate);
    if (distance < least && distance <= std::max(name.size(), candidate.size()) / 3 + 1) {
      least = distance;
      best = candidate;
    }
  }
  return best;
}

std::string joined(std::span<const std::string> names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

}  // namespace dryfront
