#include "files/case/values.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <sstream>
#include <utility>

#include "files/case/former_names.hpp"
#include "files/case/trade_words.hpp"

namespace dryfront {

namespace {

std::string kind_name(const toml::node& value) {
  switch (value.type()) {
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::string:
      return "a text";
    case toml::node_type::integer:
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "a flag";
    default:
      return "a date or time";
  }
}

[[noreturn]] void refuse_value(const toml::node& value, const KeyInfo& key, std::string_view section,
                               const std::string& what, const std::string& nearest = "") {
  const std::string path = path_of(section, key.name);
  throw CaseError(
      problem_at(value.source(), path, path + " " + what, given_text(key.name, value), allowed_text(key), nearest));
}

[[noreturn]] void refuse_kind(const toml::node& value, const KeyInfo& key, std::string_view section) {
  refuse_value(value, key, section, "is " + kind_name(value));
}

std::optional<double> number_of(const toml::node& value) {
  if (const auto* floating = value.as_floating_point()) return floating->get();
  if (const auto* whole = value.as_integer()) return static_cast<double>(whole->get());
  return std::nullopt;
}

double checked_number(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const std::optional<double> number = number_of(value);
  if (!number) refuse_kind(value, key, section);
  if (!std::isfinite(*number)) refuse_value(value, key, section, "is not finite");
  if (!key.range.contains(*number)) refuse_value(value, key, section, "is out of range");
  return *number;
}

// The key that `name` would be with its unit put right; null when that is not what is wrong.
const KeyInfo* same_but_for_unit(std::string_view name, const std::vector<KeyInfo>& keys) {
  for (const KeyInfo& key : keys) {
    if (key.unit.suffix.empty()) continue;
    const std::string_view base = std::string_view(key.name).substr(0, key.name.size() - key.unit.suffix.size() - 1);
    if (name == base) return &key;
    const bool has_suffix = name.size() > base.size() + 1 && name.starts_with(base) && name[base.size()] == '_';
    if (has_suffix && is_unit_suffix(name.substr(base.size() + 1))) return &key;
  }
  return nullptr;
}

std::vector<std::string> names_of(const std::vector<KeyInfo>& keys) {
  std::vector<std::string> names;
  for (const KeyInfo& key : keys) names.push_back(key.name);
  return names;
}

// The first section that has a key of that name; null when none has.
const Section* section_with_key(std::string_view name) {
  for (const Section& part : sections()) {
    for (const KeyInfo& key : part.keys) {
      if (key.name == name) return &part;
    }
  }
  return nullptr;
}

// A path without the numbers and the names of the user's own tissues: "mode.0.source" is "mode.source".
std::string section_of(std::string_view path) {
  if (path.starts_with("tissue.")) {
    const std::string_view name = path.substr(std::string_view("tissue.").size());
    return name.ends_with(".damage") ? "damage" : "tissue";
  }
  std::string section;
  for (std::size_t begin = 0; begin < path.size();) {
    const std::size_t end = std::min(path.find('.', begin), path.size());
    const std::string_view step = path.substr(begin, end - begin);
    const bool number =
        std::all_of(step.begin(), step.end(), [](char letter) { return letter >= '0' && letter <= '9'; });
    if (!number) section = path_of(section, step);
    begin = end + 1;
  }
  return section;
}

// The path of a key that was written in `section` and belongs in `part`: inside the same entry of a list where `part`
// lies within `section`, "mode.0" and "mode.source" make "mode.0.source".
std::string misplaced_path(std::string_view section, const Section& part, std::string_view name) {
  const std::string without_numbers = section_of(section);
  const bool inside = !without_numbers.empty() && part.path.starts_with(without_numbers + ".");
  return path_of(inside ? std::string(section) + part.path.substr(without_numbers.size()) : part.path, name);
}

CaseProblem unknown_key(const toml::table& table, const toml::key& given, const std::vector<KeyInfo>& keys,
                        std::string_view section) {
  const toml::node& value = *table.get(given.str());
  const std::vector<std::string> names = names_of(keys);
  const std::string name(given.str());
  std::string what = "unknown key '" + path_of(section, name) + "'", path;
  // Of names equally near one that the table lacks is the likelier.
  std::vector<std::string> candidates = names;
  std::stable_partition(candidates.begin(), candidates.end(),
                        [&](const std::string& candidate) { return !table.contains(candidate); });
  std::string nearest = nearest_name(name, candidates);
  const FormerName* former = former_name(name);
  const std::string current(former != nullptr ? former->now : name);
  if (const KeyInfo* in_unit = same_but_for_unit(name, keys)) {
    what += ": its unit has to be " + std::string(in_unit->unit.shown);
    nearest = in_unit->name;
  } else if (former_name(name, names) != nullptr) {
    what += ": " + answer(*former);
    nearest = current;
  } else if (const auto meant = meant_key(name, value, keys, section_of(section))) {
    what += ": " + meant->answer;
    const bool here = meant->section->path == section_of(section);
    nearest = here ? meant->key->name : "";
    if (!here) path = misplaced_path(section, *meant->section, meant->key->name);
  } else if (const Section* elsewhere = section_with_key(current)) {
    what +=
        ": " + (former != nullptr ? answer(*former) + " and" : std::string("it")) + " belongs in " + elsewhere->heading;
    nearest.clear();
    path = misplaced_path(section, *elsewhere, current);
  }
  if (path.empty()) path = path_of(section, nearest.empty() ? name : nearest);
  return problem_at(given.source(), path, what, given_text(name, value), joined(names), nearest);
}

}  // namespace

toml::table parse_toml(std::string_view text, const std::string& name) {
  try {
    return toml::parse(text, name);
  } catch (const toml::parse_error& error) {
    throw CaseError(problem_at(error.source(), "", std::string(error.description()), "", "TOML 1.0"));
  }
}

std::string place_of(const toml::source_region& source) {
  const std::string path = source.path ? *source.path : "";
  if (path.starts_with(override_mark) || !source.begin) return path;
  return path + ":" + std::to_string(source.begin.line) + ":" + std::to_string(source.begin.column);
}

std::string given_text(std::string_view name, const toml::node& value) {
  std::ostringstream stream;
  value.visit([&](const auto& node) { stream << node; });
  const auto* floating = value.as_floating_point();
  std::string text = floating != nullptr ? number_text(floating->get()) : stream.str();
  std::replace(text.begin(), text.end(), '\n', ' ');
  constexpr std::size_t longest = 100;
  if (text.size() > longest) text = text.substr(0, longest) + " ...";
  return std::string(name) + " = " + text;
}

std::string path_of(std::string_view section, std::string_view name) {
  return section.empty() ? std::string(name) : std::string(section) + "." + std::string(name);
}

CaseProblem problem_at(const toml::source_region& source, std::string path, std::string what, std::string given,
                       std::string allowed, std::string nearest) {
  return {.place = place_of(source),
          .what = std::move(what),
          .given = std::move(given),
          .allowed = std::move(allowed),
          .nearest = std::move(nearest),
          .path = std::move(path),
          .line = source.begin.line,
          .column = source.begin.column};
}

double read_number(const toml::node& value, const KeyInfo& key, std::string_view section) {
  return checked_number(value, key, section);
}

int read_integer(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const double number = checked_number(value, key, section);
  if (number != std::floor(number)) refuse_value(value, key, section, "is not a whole number");
  return static_cast<int>(number);
}

bool read_flag(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* flag = value.as_boolean();
  if (flag == nullptr) refuse_kind(value, key, section);
  return flag->get();
}

std::string read_text(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* text = value.as_string();
  if (text == nullptr) refuse_kind(value, key, section);
  return text->get();
}

int read_choice(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const std::string text = read_text(value, key, section);
  const auto found = std::find(key.choices.begin(), key.choices.end(), text);
  if (found == key.choices.end()) {
    const std::string meant(meant_choice(text, key));
    refuse_value(value, key, section,
                 "has no choice '" + text + "'" + (meant.empty() ? "" : ": it is called " + meant + " here"),
                 meant.empty() ? nearest_name(text, key.choices) : meant);
  }
  return static_cast<int>(found - key.choices.begin());
}

std::vector<double> read_numbers(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* list = value.as_array();
  if (list == nullptr) refuse_kind(value, key, section);
  std::vector<double> numbers;
  for (const toml::node& entry : *list) numbers.push_back(checked_number(entry, key, section));
  return numbers;
}

std::vector<std::string> read_texts(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* list = value.as_array();
  if (list == nullptr) refuse_kind(value, key, section);
  std::vector<std::string> texts;
  for (const toml::node& entry : *list) texts.push_back(read_text(entry, key, section));
  return texts;
}

const toml::table& read_table(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* table = value.as_table();
  if (table == nullptr) refuse_kind(value, key, section);
  return *table;
}

std::vector<const toml::table*> read_tables(const toml::node& value, const KeyInfo& key, std::string_view section) {
  const auto* list = value.as_array();
  if (list == nullptr) refuse_kind(value, key, section);
  std::vector<const toml::table*> tables;
  for (const toml::node& entry : *list) tables.push_back(&read_table(entry, key, section));
  return tables;
}

void find_unknown_keys(const toml::table& table, const std::vector<KeyInfo>& keys, std::string_view section,
                       CaseProblems& problems) {
  const auto is_known = [&](std::string_view name) {
    return std::any_of(keys.begin(), keys.end(), [&](const KeyInfo& key) { return key.name == name; });
  };
  for (const auto& [given, value] : table) {
    if (!is_known(given.str())) problems.add(unknown_key(table, given, keys, section));
  }
}

void miss_key(const toml::table& table, const KeyInfo& key, std::string_view section, CaseProblems& problems) {
  const std::string path = path_of(section, key.name);
  if (problems.concern(path)) return;
  problems.add(
      problem_at(table.source(), path, "missing " + path + " (" + key.meaning + ")", "nothing", allowed_text(key)));
}

const toml::node* find_value(const toml::table& document, std::string_view path) {
  const toml::node* node = &document;
  while (node != nullptr && !path.empty()) {
    const std::string_view name = path.substr(0, path.find('.'));
    path.remove_prefix(std::min(name.size() + 1, path.size()));
    if (const auto* table = node->as_table()) {
      node = table->get(name);
    } else if (const auto* list = node->as_array()) {
      std::size_t index = 0;
      const auto [end, error] = std::from_chars(name.data(), name.data() + name.size(), index);
      node = error == std::errc() && end == name.data() + name.size() ? list->get(index) : nullptr;
    } else {
      node = nullptr;
    }
  }
  return node;
}

CaseProblem problem_about(const toml::table& document, const std::string& path, const std::string& what,
                          const std::string& allowed, const std::string& nearest) {
  const std::size_t dot = path.rfind('.');
  const std::string name = dot == std::string::npos ? path : path.substr(dot + 1);
  if (const toml::node* value = find_value(document, path)) {
    return problem_at(value->source(), path, path + " " + what, given_text(name, *value), allowed, nearest);
  }
  std::string around = path;
  const toml::node* table = nullptr;
  while (table == nullptr) {
    const std::size_t cut = around.rfind('.');
    around = cut == std::string::npos ? "" : around.substr(0, cut);
    table = find_value(document, around);
  }
  return problem_at(table->source(), path, path + " " + what, "nothing", allowed, nearest);
}

void refuse(const toml::table& document, const std::string& path, const std::string& what, const std::string& allowed,
            const std::string& nearest) {
  throw CaseError(problem_about(document, path, what, allowed, nearest));
}

}  // namespace dryfront
