#include "files/case/tissue_library.hpp"

#include <algorithm>
#include <sstream>

#include "files/case/case_error.hpp"
#include "files/case/key_table.hpp"
#include "files/case/values.hpp"
#include "files/file_text.hpp"

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

// The tissue's usual pair, on top of `base` where there is one; as it is when the table gives none.
std::optional<DamagePair> damage_of(const toml::table& tissue, const std::string& section,
                                    const std::optional<DamagePair>& base, CaseProblems& problems) {
  const toml::node* value = tissue.get("damage");
  if (value == nullptr) return base;
  DamagePair pair = base.value_or(DamagePair{});
  problems.attempt([&] {
    const toml::table& table = read_table(*value, key_named(tissue_keys(), "damage"), section);
    read_values(table, damage_keys(), section + ".damage", pair, problems, !base.has_value());
  });
  return pair;
}

void check_sources(const toml::table& table, const TissueEntry& entry, const std::string& section,
                   CaseProblems& problems) {
  for (const Key<Tissue>& key : tissue_keys()) {
    if (!is_number(key)) continue;
    const std::string path = section + "." + key.name;
    const toml::node* number = table.get(key.name);
    if (number == nullptr) {
      miss_key(table, key, section, problems);
    } else if (!has_line(entry.tissue.source, key.name) && !problems.concern(path)) {
      problems.add(problem_at(number->source(), path, path + " has no source", given_text(key.name, *number),
                              "a line \"" + key.name + ": where it comes from\" in " + section + ".source"));
    }
  }
  const std::string pair = section + ".damage";
  if (entry.damage && entry.damage->source.empty() && !problems.concern(pair + ".source")) {
    problems.add(problem_at(table.get("damage")->source(), pair, pair + " has no source", "nothing",
                            "source = \"where it comes from\""));
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
  const std::filesystem::path file = directory / (name + ".toml");
  const toml::table document = parse_toml(file_text(file), file.string());
  const toml::table* tissues = document["tissue"].as_table();
  const toml::table* table = tissues != nullptr ? (*tissues)[name].as_table() : nullptr;
  if (table == nullptr || document.size() != 1 || tissues->size() != 1) {
    throw CaseError(problem_at(document.source(), "",
                               "a file of the tissue library holds one tissue of the file's name", "",
                               "[tissue." + name + "] and nothing else"));
  }
  const std::string section = "tissue." + name;
  CaseProblems problems(file.string());
  TissueEntry entry;
  entry.tissue.name = name;
  read_values(*table, tissue_keys(), section, entry.tissue, problems);
  entry.damage = damage_of(*table, section, std::nullopt, problems);
  if (const toml::node* like = table->get("like")) {
    problems.add(problem_at(like->source(), section + ".like", section + ".like is given in the library",
                            given_text("like", *like), "every number with its source"));
  }
  check_sources(*table, entry, section, problems);
  problems.raise();
  return entry;
}

TissueEntry case_tissue(const toml::table& table, const std::string& name, const std::optional<TissueEntry>& base,
                        CaseProblems& problems) {
  const std::string section = "tissue." + name;
  TissueEntry entry = base.value_or(TissueEntry{});
  entry.tissue.name = name;
  read_values(table, tissue_keys(), section, entry.tissue, problems, !base.has_value());
  entry.damage = damage_of(table, section, entry.damage, problems);
  if (table.contains("source")) return entry;
  for (const Key<Tissue>& key : tissue_keys()) {
    if (!is_number(key) || !table.contains(key.name)) continue;
    entry.tissue.source = without_line(entry.tissue.source, key.name) + key.name + ": stated by the case\n";
  }
  return entry;
}

}  // namespace dryfront
