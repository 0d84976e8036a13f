// From TOML values to members, as the key table says. Every problem names file, line and column.
#pragma once

#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include <toml++/toml.h>

#include "files/case/case_error.hpp"
#include "files/case/case_problems.hpp"
#include "files/case/key_table.hpp"

namespace dryfront {

// The document in `text`, whose places are in `name`. Throws CaseError where it is not TOML.
toml::table parse_toml(std::string_view text, const std::string& name);

// "main.toml:12:1", or the override as it was typed, which stands where a file's name would.
std::string place_of(const toml::source_region& source);
// The place of an override's values begins with this, followed by what was typed.
inline constexpr std::string_view override_mark = "--set ";

// "radius_mm = 6.0", cut when long.
std::string given_text(std::string_view name, const toml::node& value);
// "specimen" + "radius_mm" -> "specimen.radius_mm", the name an override would use.
std::string path_of(std::string_view section, std::string_view name);

// A problem with what stands at `source`; the value at `path` cannot be used because of it.
CaseProblem problem_at(const toml::source_region& source, std::string path, std::string what, std::string given,
                       std::string allowed, std::string nearest = "");

// Each throws CaseError when the value is of another kind or not allowed; `section` is the path of its table.
double read_number(const toml::node& value, const KeyInfo& key, std::string_view section);  // in the key's unit
int read_integer(const toml::node& value, const KeyInfo& key, std::string_view section);
bool read_flag(const toml::node& value, const KeyInfo& key, std::string_view section);
std::string read_text(const toml::node& value, const KeyInfo& key, std::string_view section);
int read_choice(const toml::node& value, const KeyInfo& key, std::string_view section);
std::vector<double> read_numbers(const toml::node& value, const KeyInfo& key, std::string_view section);  // as above
std::vector<std::string> read_texts(const toml::node& value, const KeyInfo& key, std::string_view section);
const toml::table& read_table(const toml::node& value, const KeyInfo& key, std::string_view section);
std::vector<const toml::table*> read_tables(const toml::node& value, const KeyInfo& key, std::string_view section);

// Every key of `table` that is not among `keys` is a problem, with the key that was probably meant; that one counts as
// unusable too.
void find_unknown_keys(const toml::table& table, const std::vector<KeyInfo>& keys, std::string_view section,
                       CaseProblems& problems);
// A problem, unless one with the key is known already.
void miss_key(const toml::table& table, const KeyInfo& key, std::string_view section, CaseProblems& problems);

template <class Object>
const Key<Object>& key_named(const Keys<Object>& keys, std::string_view name) {
  for (const Key<Object>& key : keys) {
    if (key.name == name) return key;
  }
  throw std::logic_error("no such key: " + std::string(name));
}

template <class Object>
void store_value(const toml::node& value, const Key<Object>& key, std::string_view section, Object& object) {
  std::visit(
      [&](const auto& member) {
        using Slot = std::decay_t<decltype(member)>;
        if constexpr (std::is_same_v<Slot, double Object::*>) {
          object.*member = to_si(key.unit, read_number(value, key, section));
        } else if constexpr (std::is_same_v<Slot, int Object::*>) {
          object.*member = read_integer(value, key, section);
        } else if constexpr (std::is_same_v<Slot, bool Object::*>) {
          object.*member = read_flag(value, key, section);
        } else if constexpr (std::is_same_v<Slot, std::string Object::*>) {
          object.*member = read_text(value, key, section);
        } else if constexpr (std::is_same_v<Slot, std::vector<double> Object::*>) {
          object.*member = read_numbers(value, key, section);
          for (double& number : object.*member) number = to_si(key.unit, number);
        } else if constexpr (std::is_same_v<Slot, std::vector<std::string> Object::*>) {
          object.*member = read_texts(value, key, section);
        } else if constexpr (std::is_same_v<Slot, ChoiceMember<Object>>) {
          member.set(object, read_choice(value, key, section));
        }
      },
      key.member);
}

// Stores every key of `table` in `object`; keys left out and values that are a problem keep the object's value.
// Problems are an unknown key, a value that is not allowed and, when `complete` is asked for, a required key left out.
// Keys without a member are only checked for presence.
template <class Object>
void read_values(const toml::table& table, const Keys<Object>& keys, std::string_view section, Object& object,
                 CaseProblems& problems, bool complete = true) {
  find_unknown_keys(table, std::vector<KeyInfo>(keys.begin(), keys.end()), section, problems);
  for (const Key<Object>& key : keys) {
    if (const toml::node* value = table.get(key.name)) {
      problems.attempt([&] { store_value(*value, key, section, object); });
    } else if (key.required && complete) {
      miss_key(table, key, section, problems);
    }
  }
}

// The value at a path such as "mode.0.source.setting_W"; null when there is none.
const toml::node* find_value(const toml::table& document, std::string_view path);
// A problem with the value at `path`; where it is missing the place is that of the nearest table around it.
CaseProblem problem_about(const toml::table& document, const std::string& path, const std::string& what,
                          const std::string& allowed, const std::string& nearest = "");
// Throws CaseError with that problem.
[[noreturn]] void refuse(const toml::table& document, const std::string& path, const std::string& what,
                         const std::string& allowed, const std::string& nearest = "");

}  // namespace dryfront
