#include "studies/attribution_drives.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

#include "files/case_error.hpp"
#include "studies/attribution_runs.hpp"

namespace dryfront {

namespace {

std::vector<std::string> names_of(const std::vector<Drive>& drives) {
  std::vector<std::string> names;
  for (const Drive& drive : drives) names.push_back(drive.name);
  return names;
}

const Drive& named(const Case& c, const std::string& name) {
  const auto found = std::find_if(c.drives.begin(), c.drives.end(), [&](const Drive& d) { return d.name == name; });
  if (found != c.drives.end()) return *found;
  const std::vector<std::string> names = names_of(c.drives);
  throw CaseError({.place = "--drives",
                   .what = "the case has no drive of this name",
                   .given = name,
                   .allowed = joined(names),
                   .nearest = nearest_name(name, names)});
}

std::vector<Drive> named_pair(const Case& c, const std::string& names) {
  std::vector<std::string> parts;
  std::istringstream text(names);
  for (std::string part; std::getline(text, part, ',');) parts.push_back(part);
  if (parts.size() != 2 || names.back() == ',') {
    throw CaseError({.place = "--drives",
                     .what = "two names are needed, with a comma between",
                     .given = names,
                     .allowed = "two of " + joined(names_of(c.drives)),
                     .nearest = ""});
  }
  return {named(c, parts[0]), named(c, parts[1])};
}

// The last drive where none differs: the caller refuses that.
std::vector<Drive> extreme_pair(const Case& c) {
  const auto pair = extreme_drives(c);
  if (!pair) return {c.drives.front(), c.drives.back()};
  return {c.drives[pair->first], c.drives[pair->second]};
}

}  // namespace

std::optional<std::pair<std::size_t, std::size_t>> extreme_drives(const Case& c) {
  const auto& drives = c.drives;
  const auto lower = [](const Drive& a, const Drive& b) { return crest_factor(a.waveform) < crest_factor(b.waveform); };
  const auto lowest = std::min_element(drives.begin(), drives.end(), lower);
  const auto highest = std::max_element(drives.begin(), drives.end(), lower);
  const auto index = [&](auto drive) { return static_cast<std::size_t>(drive - drives.begin()); };
  if (lower(*lowest, *highest)) return std::pair{index(lowest), index(highest)};
  const auto other =
      std::find_if(drives.begin() + 1, drives.end(), [&](const Drive& drive) { return !alike(drives.front(), drive); });
  if (other == drives.end()) return std::nullopt;
  return std::pair{std::size_t{0}, index(other)};
}

Case case_of_two(const Case& c, const std::string& names, const std::string& case_path) {
  if (c.drives.size() < 2) {
    throw CaseError({.place = case_path,
                     .what = "there is nothing to compare: the case has one drive",
                     .given = joined(names_of(c.drives)),
                     .allowed = "two or more [[drive]]",
                     .nearest = ""});
  }
  Case two = c;
  two.drives = names.empty() ? extreme_pair(c) : named_pair(c, names);
  if (alike(two.drives[0], two.drives[1])) {
    throw CaseError(
        {.place = case_path,
         .what = "the two drives do not differ: source, times, crest factor and striking function are the same",
         .given = joined(names_of(two.drives)),
         .allowed = "two drives that differ, chosen with --drives A,B",
         .nearest = ""});
  }
  return two;
}

}  // namespace dryfront
