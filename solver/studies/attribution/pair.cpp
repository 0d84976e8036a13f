#include "studies/attribution/pair.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

#include "files/case/case_error.hpp"
#include "studies/attribution/mixture.hpp"

namespace dryfront {

namespace {

std::vector<std::string> names_of(const std::vector<Mode>& modes) {
  std::vector<std::string> names;
  for (const Mode& mode : modes) names.push_back(mode.name);
  return names;
}

const Mode& named(const Case& c, const std::string& name) {
  const auto found = std::find_if(c.modes.begin(), c.modes.end(), [&](const Mode& d) { return d.name == name; });
  if (found != c.modes.end()) return *found;
  const std::vector<std::string> names = names_of(c.modes);
  throw CaseError({.place = "the pair of modes",
                   .what = "the case has no mode of this name",
                   .given = name,
                   .allowed = joined(names),
                   .nearest = nearest_name(name, names)});
}

std::vector<Mode> named_pair(const Case& c, const std::string& names) {
  std::vector<std::string> parts;
  std::istringstream text(names);
  for (std::string part; std::getline(text, part, ',');) parts.push_back(part);
  if (parts.size() != 2 || names.back() == ',') {
    throw CaseError({.place = "the pair of modes",
                     .what = "two names are needed, with a comma between",
                     .given = names,
                     .allowed = "two of " + joined(names_of(c.modes)),
                     .nearest = ""});
  }
  return {named(c, parts[0]), named(c, parts[1])};
}

std::vector<Mode> extreme_pair(const Case& c) {
  const auto pair = extreme_modes(c);
  if (!pair) return {c.modes.front(), c.modes.back()};
  return {c.modes[pair->first], c.modes[pair->second]};
}

}  // namespace

bool alike(const Case& c, const Mode& first, const Mode& second) {
  return differences(c.physics, first, second).empty();
}

std::optional<std::pair<std::size_t, std::size_t>> extreme_modes(const Case& c) {
  const auto& modes = c.modes;
  const auto lower = [](const Mode& a, const Mode& b) { return crest_factor(a.waveform) < crest_factor(b.waveform); };
  const auto lowest = std::min_element(modes.begin(), modes.end(), lower);
  const auto highest = std::max_element(modes.begin(), modes.end(), lower);
  const auto index = [&](auto mode) { return static_cast<std::size_t>(mode - modes.begin()); };
  if (lower(*lowest, *highest)) return std::pair{index(lowest), index(highest)};
  const auto other =
      std::find_if(modes.begin() + 1, modes.end(), [&](const Mode& mode) { return !alike(c, modes.front(), mode); });
  if (other == modes.end()) return std::nullopt;
  return std::pair{std::size_t{0}, index(other)};
}

Case case_of_two(const Case& c, const std::string& names, const std::string& case_path) {
  if (c.modes.size() < 2) {
    throw CaseError({.place = case_path,
                     .what = "there is nothing to compare: the case has one mode",
                     .given = joined(names_of(c.modes)),
                     .allowed = "two or more [[mode]]",
                     .nearest = ""});
  }
  Case two = c;
  two.modes = names.empty() ? extreme_pair(c) : named_pair(c, names);
  return two;
}

void require_difference(const Case& two, const std::string& case_path) {
  if (!alike(two, two.modes[0], two.modes[1])) return;
  throw CaseError({.place = case_path,
                   .what = "the two modes do not differ: source, limits, arcing, breakdown and times are the same",
                   .given = joined(names_of(two.modes)),
                   .allowed = "two modes that differ",
                   .nearest = ""});
}

}  // namespace dryfront
