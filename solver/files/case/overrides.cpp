#include "files/case/overrides.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>
#include <utility>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/case/former_names.hpp"
#include "files/case/values.hpp"

namespace dryfront {

namespace {

class Override {
 public:
  explicit Override(const std::string& typed) : place_(std::string(override_mark) + typed) {
    const std::size_t equals = typed.find('=');
    const std::string path = trimmed(typed.substr(0, equals));
    if (equals == std::string::npos || path.empty()) refuse("is not an override", "key.path=value");
    for (std::size_t begin = 0; begin <= path.size();) {
      const std::size_t end = std::min(path.find('.', begin), path.size());
      names_.push_back(path.substr(begin, end - begin));
      if (names_.back().empty()) refuse("has an empty name in its path", "key.path=value");
      begin = end + 1;
    }
    value_ = trimmed(typed.substr(equals + 1));
    if (value_.empty()) refuse("has no value", "key.path=value");
    if (is_bare_text(value_)) value_ = toml_string(value_);
  }

  void apply(toml::table& document, CaseProblems& problems) const { into_table(document, 0, problems); }

 private:
  void into_table(toml::table& table, std::size_t depth, CaseProblems& problems) const {
    const std::string& name = names_[depth];
    toml::node* child = table.get(name);
    const bool last = depth + 1 == names_.size();
    const FormerName* former = former_name(name);
    if (child == nullptr && !last && former != nullptr && table.contains(former->now)) {
      child = table.get(former->now);
      problems.add({.place = place_,
                    .what = "unknown key '" + name + "': " + answer(*former),
                    .given = "",
                    .allowed = "",
                    .nearest = std::string(former->now)});
    }
    if (child != nullptr && !last && child->is_table()) return into_table(*child->as_table(), depth + 1, problems);
    if (child != nullptr && !last && child->is_array()) return into_list(*child->as_array(), depth + 1, problems);
    // Moved, not copied: a copied node forgets where it came from.
    toml::table fresh = parsed(depth);
    auto first = fresh.begin();
    toml::key key = first->first;
    toml::node& value = first->second;
    value.visit([&](auto& node) { table.insert_or_assign(std::move(key), std::move(node)); });
  }

  void into_list(toml::array& list, std::size_t depth, CaseProblems& problems) const {
    const std::string& selector = names_[depth];
    const bool last = depth + 1 == names_.size();
    std::vector<std::string> entries;
    bool found = false;
    for (std::size_t k = 0; k < list.size(); ++k) {
      toml::table* entry = list[k].as_table();
      const std::string number = std::to_string(k);
      const std::string name = entry != nullptr ? (*entry)["name"].value_or(std::string()) : std::string();
      entries.push_back(name.empty() ? number : name);
      if (selector != "*" && selector != number && selector != name) continue;
      if (entry == nullptr || last) refuse("does not lead to a key", "a path that ends in a key");
      found = true;
      into_table(*entry, depth + 1, problems);
    }
    if (found) return;
    refuse(list.empty() ? "finds an empty list" : "finds no entry '" + selector + "'",
           "the number of an entry from 0 to " + std::to_string(std::max<std::size_t>(list.size(), 1) - 1) +
               ", * for all, or one of " + joined(entries),
           nearest_name(selector, entries));
  }

  // The rest of the path with the value, as a document of its own.
  toml::table parsed(std::size_t depth) const {
    std::string text;
    for (std::size_t k = depth; k < names_.size(); ++k) {
      if (k > depth) text += '.';
      text += toml_string(names_[k]);
    }
    text += " = ";
    text += value_;
    try {
      toml::table fresh = toml::parse(text, place_);
      if (fresh.size() != 1) refuse("sets more than one key", "key.path=value");
      return fresh;
    } catch (const toml::parse_error& error) {
      refuse("has a value that cannot be read: " + std::string(error.description()),
             "a value as in a case file: 3.5, true, \"text\", [1, 2], { key = value }");
    }
  }

  [[noreturn]] void refuse(const std::string& what, const std::string& allowed, const std::string& nearest = "") const {
    throw CaseError({place_, what, "", allowed, nearest});
  }

  static std::string trimmed(const std::string& text) {
    const std::size_t begin = text.find_first_not_of(" \t");
    return begin == std::string::npos ? "" : text.substr(begin, text.find_last_not_of(" \t") - begin + 1);
  }

  static std::string toml_string(const std::string& text) {
    std::string out = "\"";
    for (const char letter : text) {
      if (letter == '"' || letter == '\\') out += '\\';
      out += letter;
    }
    return out + "\"";
  }

  // A word that is no TOML value by itself: true, inf and nan are, and whatever starts as a number, a quote or a
  // bracket.
  static bool is_bare_text(const std::string& value) {
    if (value == "true" || value == "false" || value == "inf" || value == "nan") return false;
    const char first = value.front();
    const bool starts_as_word = (first >= 'a' && first <= 'z') || (first >= 'A' && first <= 'Z') || first == '_' ||
                                first == '/' || static_cast<unsigned char>(first) >= 0x80;
    const auto is_control = [](char letter) { return static_cast<unsigned char>(letter) < 0x20; };
    return starts_as_word && std::none_of(value.begin(), value.end(), is_control);
  }

  std::string place_;
  std::vector<std::string> names_;
  std::string value_;
};

}  // namespace

void apply_overrides(toml::table& document, std::span<const std::string> overrides, CaseProblems& problems) {
  for (const std::string& typed : overrides) {
    problems.attempt([&] { Override(typed).apply(document, problems); });
  }
}

}  // namespace dryfront
