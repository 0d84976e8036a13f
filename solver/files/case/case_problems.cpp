#include "files/case/case_problems.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

#include "files/case/values.hpp"

namespace dryfront {

namespace {

// Whether `inner` is the path `outer` or one inside it.
bool is_within(std::string_view inner, std::string_view outer) {
  return inner.starts_with(outer) && (inner.size() == outer.size() || inner[outer.size()] == '.');
}

}  // namespace

void CaseProblems::add(CaseProblem problem) {
  // An override of all entries of a list has the same problem in each.
  const bool overridden = problem.place.starts_with(override_mark) && !problem.given.empty();
  const auto same = [&](const CaseProblem& known) {
    if (known.place != problem.place) return false;
    return known.what == problem.what ||
           (overridden && known.given == problem.given && known.allowed == problem.allowed);
  };
  if (std::none_of(problems_.begin(), problems_.end(), same)) problems_.push_back(std::move(problem));
}

void CaseProblems::add(const CaseError& error, std::string_view path) {
  for (CaseProblem problem : error.problems()) {
    if (problem.path.empty()) problem.path = path;
    add(std::move(problem));
  }
}

void CaseProblems::add(const FileError& error, std::string_view path) {
  const std::size_t before = problems_.size();
  add({.place = "", .what = error.what(), .given = "", .allowed = "", .nearest = "", .path = std::string(path)});
  unreadable_files_ += problems_.size() - before;
  if (!unreadable_) unreadable_ = error;
}

bool CaseProblems::concern(std::string_view path) const {
  return std::any_of(problems_.begin(), problems_.end(), [&](const CaseProblem& problem) {
    return !problem.path.empty() && (is_within(path, problem.path) || is_within(problem.path, path));
  });
}

void CaseProblems::raise() const {
  if (problems_.empty()) return;
  if (unreadable_files_ == problems_.size()) throw FileError(*unreadable_);
  std::vector<CaseProblem> sorted = problems_;
  const auto order = [&](const CaseProblem& problem) {
    const bool own = problem.line > 0 && problem.place.starts_with(document_ + ":");
    return own ? std::tuple(0, problem.line, problem.column) : std::tuple(1, std::size_t{0}, std::size_t{0});
  };
  std::stable_sort(sorted.begin(), sorted.end(),
                   [&](const CaseProblem& a, const CaseProblem& b) { return order(a) < order(b); });
  throw CaseError(std::move(sorted));
}

}  // namespace dryfront
