#include "files/case/former_names.hpp"

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "files/case/values.hpp"

namespace dryfront {

namespace {

constexpr std::array<FormerName, 20> rows{{
    {"drive", "mode", ""},
    {"drives", "modes", ""},
    {"dwell_s", "activation_s", ""},
    {"dial_W", "setting_W", ""},
    {"regulated", "constant_power", ""},
    {"power", "constant_power", "without peak_limit_V and current_limit_A"},
    {"matched", "unregulated", ""},
    {"match_ohm", "rated_load_ohm", ""},
    {"decaying", "damped", ""},
    {"striking", "arcing", ""},
    {"struck_s", "arcing_s", ""},
    {"struck_share", "arcing_share", ""},
    {"crust", "eschar", ""},
    {"crust_um", "eschar_um", ""},
    {"dry", "desiccation", "the effect; dry stays the word of what it is judged by"},
    {"skin_mm", "interface_mm", ""},
    {"asperity", "spots", ""},
    {"constriction_mm", "spot_pitch_mm", ""},
    {"footing", "basis", ""},
    {"same_dial", "same_setting", ""},
}};

bool is_among(std::string_view name, std::span<const std::string> names) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

std::vector<std::string> names_of(std::span<const KeyInfo> keys) {
  std::vector<std::string> names;
  for (const KeyInfo& key : keys) names.push_back(key.name);
  return names;
}

// Moves the value of a key to the key's new name; where that is taken the value is dropped.
void move_value(toml::table& table, const std::string& was, std::string_view now) {
  const auto old = table.find(was);
  if (!table.contains(now)) {
    toml::key fresh(now, old->first.source());
    old->second.visit([&](auto& node) { table.insert_or_assign(std::move(fresh), std::move(node)); });
  }
  table.erase(was);
}

void rename_words(toml::table& table, std::span<const KeyInfo> keys, std::string_view path, CaseProblems& problems) {
  for (const KeyInfo& key : keys) {
    auto* word = table[key.name].as_string();
    if (key.kind != KeyKind::choice || word == nullptr || is_among(word->get(), key.choices)) continue;
    const FormerName* row = former_name(word->get(), key.choices);
    if (row == nullptr) continue;
    problems.add(problem_at(word->source(), "",
                            path_of(path, key.name) + " has no choice '" + word->get() + "': " + answer(*row),
                            given_text(key.name, *word), allowed_text(key), std::string(row->now)));
    *word = std::string(row->now);
  }
}

// A table whose section in the reference is `section`, and the tables and lists of tables inside it.
void rename_within(toml::table& table, const std::string& section, const std::string& path, CaseProblems& problems) {
  const auto part = std::find_if(sections().begin(), sections().end(),
                                 [&](const Section& candidate) { return candidate.path == section; });
  if (part == sections().end()) return;
  rename_former_keys(table, part->keys, path, problems);
  rename_words(table, part->keys, path, problems);
  for (auto&& [key, value] : table) {
    const std::string inner_section = path_of(section, key.str());
    const std::string inner_path = path_of(path, key.str());
    if (auto* inner = value.as_table()) rename_within(*inner, inner_section, inner_path, problems);
    auto* list = value.as_array();
    for (std::size_t k = 0; list != nullptr && k < list->size(); ++k) {
      if (auto* entry = (*list)[k].as_table()) {
        rename_within(*entry, inner_section, path_of(inner_path, std::to_string(k)), problems);
      }
    }
  }
}

}  // namespace

std::span<const FormerName> former_names() { return rows; }

const FormerName* former_name(std::string_view name) {
  const auto row = std::find_if(rows.begin(), rows.end(), [&](const FormerName& known) { return known.was == name; });
  return row == rows.end() ? nullptr : &*row;
}

const FormerName* former_name(std::string_view name, std::span<const std::string> names) {
  const FormerName* row = former_name(name);
  return row != nullptr && is_among(row->now, names) ? row : nullptr;
}

std::string answer(const FormerName& row) {
  const std::string note = row.note.empty() ? "" : " (" + std::string(row.note) + ")";
  return "it is called " + std::string(row.now) + " now" + note;
}

void rename_former_keys(toml::table& table, std::span<const KeyInfo> keys, std::string_view path,
                        CaseProblems& problems) {
  const std::vector<std::string> names = names_of(keys);
  std::vector<std::pair<std::string, const FormerName*>> found;
  for (const auto& [key, value] : table) {
    const std::string name(key.str());
    const FormerName* row = is_among(name, names) ? nullptr : former_name(name, names);
    if (row == nullptr) continue;
    found.emplace_back(name, row);
    problems.add(problem_at(key.source(), "", "unknown key '" + path_of(path, name) + "': " + answer(*row),
                            given_text(name, value), joined(names), std::string(row->now)));
  }
  for (const auto& [was, row] : found) move_value(table, was, row->now);
}

void rename_former_names(toml::table& document, CaseProblems& problems) { rename_within(document, "", "", problems); }

}  // namespace dryfront
