#include "files/plan/assumed_ranges.hpp"

#include <algorithm>

#include <toml++/toml.h>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/case/values.hpp"
#include "files/file_text.hpp"
#include "files/plan/axis.hpp"
#include "physics/electrode_shape.hpp"

namespace dryfront {
namespace {

// Whether `key` is what an override sets, or lies inside it.
bool is_set(const std::string& key, const std::vector<std::string>& overrides) {
  return std::any_of(overrides.begin(), overrides.end(), [&](const std::string& text) {
    const std::string path = text.substr(0, text.find('='));
    return key == path || key.starts_with(path + ".");
  });
}

// Whether `key` belongs to a tissue that no layer of the case is of.
bool is_foreign(const std::string& key, const Case& c) {
  constexpr std::string_view tissue = "tissue.";
  if (!key.starts_with(tissue)) return false;
  const std::string name = key.substr(tissue.size(), key.find('.', tissue.size()) - tissue.size());
  return std::none_of(c.specimen.layers.begin(), c.specimen.layers.end(),
                      [&](const Layer& layer) { return layer.tissue.name == name; });
}

}  // namespace

AssumedRanges read_assumed_ranges(const std::filesystem::path& file, const Case& c,
                                  const std::vector<std::string>& overrides) {
  const toml::table document = parse_toml(file_text(file), file.string());
  const toml::table* tables = document["axis"].as_table();
  if (tables == nullptr) refuse(document, "axis", "is missing: there are no ranges here", "[axis.NAME] tables");
  Case stated = c;
  // Its metal's where it is given none.
  stated.electrode.capacity = heat_capacity(c.electrode, {c.specimen.symmetry, c.specimen.length});
  const toml::table own = parse_toml(resolved_toml(stated), "the case");
  AssumedRanges ranges;
  CaseProblems problems(file.string());
  for (const auto& [name, node] : *tables) {
    const std::string path = "axis." + std::string(name.str());
    const toml::table* table = node.as_table();
    if (table == nullptr) {
      problems.add(problem_about(document, path, "is not the table of an axis", "[axis.NAME] with its keys"));
      continue;
    }
    PlanAxis axis = read_axis(document, std::string(name.str()), *table, problems);
    if (problems.concern(path)) continue;
    if (axis.distribution == Distribution::none) {
      problems.add(problem_about(document, path, "has no distribution to draw from", "distribution with its numbers"));
      continue;
    }
    const auto any = [&](const auto& holds) { return std::any_of(axis.keys.begin(), axis.keys.end(), holds); };
    if (any([&](const std::string& key) { return is_set(key, overrides); })) {
      ranges.held.push_back(axis.keys.front());
    } else if (any([&](const std::string& key) { return is_foreign(key, c); })) {
      ranges.foreign.push_back(axis.keys.front());
    } else {
      axis.base = common_number(own, axis.keys);
      ranges.axes.push_back(std::move(axis));
    }
  }
  problems.raise();
  if (ranges.axes.empty()) {
    throw CaseError({.place = file.string(),
                     .what = "none of the ranges is left to draw from: every key is overridden or is of another tissue",
                     .given = "",
                     .allowed = "ranges for keys of this case",
                     .nearest = ""});
  }
  return ranges;
}

}  // namespace dryfront
