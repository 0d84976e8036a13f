#include "files/case/tissue_library.hpp"

#include <algorithm>
#include <cerrno>
#include <fstream>
#include <sstream>

#include "files/case/case_error.hpp"
#include "files/case/key_table.hpp"
#include "files/case/values.hpp"
#include "files/file_error.hpp"

namespace dryfront {

namespace {

bool is_number(const KeyInfo& key) { return key.kind == KeyKind::number; }

// The source's lines without those that belong to `name`.
std::string without_line(const std::string& source, const std::string& name) {
  std::istringstream lines(source);
  std::string kept, line;
  while (std::getline(lines, line)) {
    if (!line.starts_with(name + ":")) kept += line + "\n";
  }
  return kept;
}

bool has_line(const std::string& source, const std::string& name) {
  std::istringstream lines(source);
  std::string line;
  while (std::getline(lines, line)) {
    if (!line.starts_with(name + ":")) continue;
    return line.find_first_not_of(" \t", name.size() + 1) != std::string::npos;
  }
  return false;
}

DamagePair damage_of(const toml::table& table, const std::string& section, DamagePair base, bool complete) {
  read_values(table, damage_keys(), section, base, complete);
  return base;
}

void check_sources(const toml::table& table, const TissueEntry& entry, const std::string& section) {
  for (const Key<Tissue>& key : tissue_keys()) {
    if (!is_number(key)) continue;
    if (!table.contains(key.name)) refuse_missing_key(table, key, section);
    if (!has_line(entry.tissue.source, key.name)) {
      const toml::node& number = *table.get(key.name);
      throw CaseError({place_of(number.source()), section + "." + key.name + " has no source",
                       given_text(key.name, number),
                       "a line \"" + key.name + ": where it comes from\" in " + section + ".source", ""});
    }
  }
  if (entry.damage && entry.damage->source.empty()) {
    throw CaseError({place_of(table.get("damage")->source()), section + ".damage has no source", "nothing",
                     "source = \"where it comes from\"", ""});
  }
}

}  // namespace

std::vector<std::string> library_names(const std::filesystem::path& directory) {
  std::vector<std::string> names;
  std::error_code absent;
  for (const auto& entry : std::filesystem::directory_iterator(directory, absent)) {
    if (entry.path().extension() == ".toml") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

TissueEntry library_tissue(const std::filesystem::path& directory, const std::string& name) {
  const std::string file = (directory / (name + ".toml")).string();
  std::ifstream stream(file);
  if (!stream) throw system_error(file, "cannot read", errno);
  std::ostringstream text;
  text << stream.rdbuf();
  const toml::table document = parse_toml(text.view(), file);
  const toml::table* tissues = document["tissue"].as_table();
  const toml::table* table = tissues != nullptr ? (*tissues)[name].as_table() : nullptr;
  if (table == nullptr || document.size() != 1 || tissues->size() != 1) {
    throw CaseError({place_of(document.source()), "a file of the tissue library holds one tissue of the file's name",
                     "", "[tissue." + name + "] and nothing else", ""});
  }
  const std::string section = "tissue." + name;
  TissueEntry entry;
  entry.tissue.name = name;
  read_values(*table, tissue_keys(), section, entry.tissue);
  if (const toml::node* damage = table->get("damage")) {
    entry.damage =
        damage_of(read_table(*damage, key_named(tissue_keys(), "damage"), section), section + ".damage", {}, true);
  }
  check_sources(*table, entry, section);
  return entry;
}

TissueEntry case_tissue(const toml::table& table, const std::string& name, const std::optional<TissueEntry>& base) {
  const std::string section = "tissue." + name;
  TissueEntry entry = base.value_or(TissueEntry{});
  entry.tissue.name = name;
  read_values(table, tissue_keys(), section, entry.tissue, !base.has_value());
  if (const toml::node* damage = table.get("damage")) {
    const toml::table& pair = read_table(*damage, key_named(tissue_keys(), "damage"), section);
    entry.damage = damage_of(pair, section + ".damage", entry.damage.value_or(DamagePair{}), !entry.damage.has_value());
  }
  if (table.contains("source")) return entry;
  for (const Key<Tissue>& key : tissue_keys()) {
    if (!is_number(key) || !table.contains(key.name)) continue;
    entry.tissue.source = without_line(entry.tissue.source, key.name) + key.name + ": stated by the case\n";
  }
  return entry;
}

}  // namespace dryfront
