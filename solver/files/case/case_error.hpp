// The user's error: a case file, an override or a table beside it says something that cannot be meant. Exit code 2.
#pragma once

#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace dryfront {

// One thing wrong with a case. Empty members are left out of the message, which reads
//   main.toml:12:1: unknown key 'radius_cm' in [specimen]
//     given: radius_cm = 4
//     allowed: tissue, layers, radius_mm, ...
//     did you mean 'radius_mm'?
struct CaseProblem {
  std::string place;    // file:line:column, or the override as it was typed
  std::string what;     // what is wrong
  std::string given;    // what was written
  std::string allowed;  // what may stand there
  std::string nearest;  // the nearest valid name

  std::string path{};    // of the value that cannot be used because of it, as an override would name it
  std::size_t line = 0;  // of the place, where it is in a file; 0: elsewhere
  std::size_t column = 0;
};

// All that is wrong with a case or a plan, at least one thing. The message holds the problems in their order with a
// blank line between; when they are several a last line counts them.
class CaseError : public std::runtime_error {
 public:
  explicit CaseError(const CaseProblem& problem);
  explicit CaseError(std::vector<CaseProblem> problems);
  const std::vector<CaseProblem>& problems() const { return problems_; }

 private:
  std::vector<CaseProblem> problems_;
};

// The candidate that differs from `name` by the fewest insertions, deletions, replacements and swaps of neighbouring
// letters (case ignored; a swap counts once, Damerau 1964). Empty when even the nearest differs in more than a third
// of the longer name, plus one: further off it is no longer a slip of the pen.
std::string nearest_name(std::string_view name, std::span<const std::string> candidates);

// "a, b, c"
std::string joined(std::span<const std::string> names);

}  // namespace dryfront
