#include "files/case/case_file.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <optional>
#include <set>
#include <utility>
#include <vector>

#include <toml++/toml.h>

#include "files/case/case_problems.hpp"
#include "files/case/checks.hpp"
#include "files/case/former_names.hpp"
#include "files/case/key_table.hpp"
#include "files/case/odd_values.hpp"
#include "files/case/overrides.hpp"
#include "files/case/tissue_library.hpp"
#include "files/case/two_column_file.hpp"
#include "files/case/values.hpp"
#include "files/file_text.hpp"
#include "physics/cole_cole.hpp"

namespace dryfront {

namespace {

// Reads one document, section by section in the order of the members below `read`. What is wrong goes to the problems,
// and reading goes on; a list keeps its entries in their places.
class CaseReader {
 public:
  CaseReader(const toml::table& document, std::filesystem::path tissue_directory, std::filesystem::path data_directory,
             CaseUse use, CaseProblems& problems)
      : use_(use),
        document_(document),
        tissue_directory_(std::move(tissue_directory)),
        data_directory_(std::move(data_directory)),
        problems_(problems) {}

  Case read() {
    read_values(document_, needed_keys(), "", case_, problems_);
    read_section("electrode", electrode_keys(), case_.electrode);
    read_section("physics", physics_keys(), case_.physics);
    read_section("grid", grid_keys(), case_.grading);
    read_section("time", time_keys(), case_.time);
    read_section("output", output_keys(), case_.output);
    read_section("comparison", comparison_keys(), case_.comparison);
    if (document_.contains("circuit")) read_section("circuit", circuit_keys(), case_.circuit.emplace());
    if (document_.contains("pad")) read_pad();
    read_section("specimen", specimen_keys(), case_.specimen);
    read_own_tissues();
    read_layers();
    if (case_.pad) find_pad_layers();
    read_modes();
    read_damage();
    read_effects();
    read_list("probe", probe_keys(), case_.probes);
    check_case(case_, document_, problems_);
    return std::move(case_);
  }

 private:
  // The keys of a case, those required that it is read for.
  Keys<Case> needed_keys() const {
    Keys<Case> keys = case_keys();
    if (use_ == CaseUse::simulation) return keys;
    for (Key<Case>& key : keys) {
      if (key.name == "specimen") key.required = false;
      if (key.name == "circuit") key.required = use_ == CaseUse::circuit;
      if (key.name == "pad") key.required = use_ == CaseUse::pad;
      if (key.name == "mode") key.required = use_ != CaseUse::pad;
    }
    return keys;
  }

  // Null when it is not there or is no table, which is a problem.
  const toml::table* section(const std::string& name) const {
    const toml::node* value = document_.get(name);
    if (value == nullptr) return nullptr;
    problems_.attempt([&] { read_table(*value, key_named(case_keys(), name), ""); });
    return value->as_table();
  }

  template <class Object>
  void read_section(const std::string& name, const Keys<Object>& keys, Object& object) const {
    if (const toml::table* table = section(name)) read_values(*table, keys, name, object, problems_);
  }

  std::vector<const toml::table*> list(const std::string& name) const {
    const toml::node* value = document_.get(name);
    if (value == nullptr) return {};
    std::vector<const toml::table*> tables;
    problems_.attempt([&] { tables = read_tables(*value, key_named(case_keys(), name), ""); });
    return tables;
  }

  template <class Object>
  void read_list(const std::string& name, const Keys<Object>& keys, std::vector<Object>& objects) const {
    for (const toml::table* table : list(name)) {
      objects.emplace_back();
      read_values(*table, keys, path_of(name, std::to_string(objects.size() - 1)), objects.back(), problems_);
    }
  }

  void read_pad() {
    SplitPad& pad = case_.pad.emplace();
    read_section("pad", pad_keys(), pad);
    const toml::table* table = section("pad");
    const toml::node* layers = table == nullptr ? nullptr : table->get("layer");
    if (layers == nullptr) return;
    problems_.attempt("pad.layer", [&] {
      for (const toml::table* layer : read_tables(*layers, key_named(pad_keys(), "layer"), "pad")) {
        pad.layers.emplace_back();
        read_values(*layer, pad_layer_keys(), path_of("pad.layer", std::to_string(pad.layers.size() - 1)),
                    pad.layers.back(), problems_);
      }
    });
  }

  // A pad without layers of its own lies on the specimen, whose tissues conduct as their spectra say at the monitor's
  // frequency.
  void find_pad_layers() {
    const toml::table* table = section("pad");
    if (table == nullptr || table->contains("layer") || problems_.concern("pad.monitor_kHz")) return;
    if (case_.pad->monitor < least_cole_cole_frequency) {
      problems_.add(problem_about(document_, "pad.monitor_kHz", "is below the spectra of the specimen's tissues",
                                  ">= " + number_text(least_cole_cole_frequency / 1e3) + " [kHz], or [[pad.layer]]"));
      return;
    }
    for (std::size_t k = 0; k < case_.specimen.layers.size(); ++k) {
      const Layer& layer = case_.specimen.layers[k];
      const bool is_last = k + 1 == case_.specimen.layers.size();
      const bool one = section("specimen")->contains("tissue");
      const std::string path = one ? "specimen.tissue" : path_of("specimen.layers", std::to_string(k)) + ".tissue";
      problems_.attempt(path, [&] {
        const Dielectric at = dielectric_at(spectrum_of(layer.tissue.name, path), case_.pad->monitor);
        case_.pad->layers.push_back({is_last ? 0 : layer.thickness, at.conductivity, at.permittivity});
      });
    }
  }

  const ColeColeTissue& spectrum_of(const std::string& name, const std::string& path) const {
    std::vector<std::string> names;
    for (const ColeColeTissue& tissue : cole_cole_tissues()) {
      if (tissue.name == name) return tissue;
      names.emplace_back(tissue.name);
    }
    refuse(document_, path, "has no spectrum, of which the pad could take its layers",
           "one of " + joined(names) + ", or [[pad.layer]]", nearest_name(name, names));
  }

  void read_own_tissues() {
    const toml::table* tissues = section("tissue");
    if (tissues == nullptr) return;
    for (const auto& [key, value] : *tissues) own_.emplace_back(key.str());
    for (const std::string& name : own_) read_own_tissue(*tissues, name);
  }

  // Also before its turn, when another one is like it. Nothing is known of it afterwards when it is a problem.
  void read_own_tissue(const toml::table& tissues, const std::string& name) {
    if (!begun_.insert(name).second) return;
    being_read_.insert(name);
    const std::string path = path_of("tissue", name);
    problems_.attempt(path, [&] {
      const toml::table* table = tissues.get(name)->as_table();
      if (table == nullptr) refuse(document_, path, "is not the table of a tissue", "[tissue.NAME] with its keys");
      if (rests_on_problem(tissues, *table)) return;
      tissues_[name] = case_tissue(*table, name, base_of(*table, name), problems_);
    });
    being_read_.erase(name);
  }

  // Whether the tissue is like one of the case that is told to be a problem already; reads that one first.
  bool rests_on_problem(const toml::table& tissues, const toml::table& table) {
    const std::string other = table["like"].value_or(std::string());
    if (!tissues.contains(other)) return false;
    read_own_tissue(tissues, other);
    return !tissues_.contains(other) && !being_read_.contains(other);
  }

  // What the tissue changes: the library's of its name, or the one it is like; nothing for a new one.
  std::optional<TissueEntry> base_of(const toml::table& table, const std::string& name) {
    const std::vector<std::string> library = library_names(tissue_directory_);
    const bool in_library = std::find(library.begin(), library.end(), name) != library.end();
    const toml::node* like = table.get("like");
    if (like == nullptr) {
      if (in_library) return library_tissue(tissue_directory_, name);
      refuse_misspelt_tissue(table, name, library);
      return std::nullopt;
    }
    const std::string path = "tissue." + name + ".like";
    const std::string other = read_text(*like, key_named(tissue_keys(), "like"), "tissue." + name);
    if (in_library) {
      refuse(document_, path, "is given for a tissue that the library has", "a name of its own for the new tissue");
    }
    if (being_read_.contains(other)) {
      refuse(document_, path, "leads back to the tissue itself", "a tissue that takes nothing from this one");
    }
    return tissue(other, path, name);
  }

  // A new tissue that lacks what it requires and is called almost like one of the library is a slip of the pen.
  void refuse_misspelt_tissue(const toml::table& table, const std::string& name,
                              const std::vector<std::string>& library) const {
    const auto lacks = [&](const Key<Tissue>& key) { return key.required && !table.contains(key.name); };
    const std::string nearest = nearest_name(name, library);
    if (nearest.empty() || std::none_of(tissue_keys().begin(), tissue_keys().end(), lacks)) return;
    refuse(document_, "tissue." + name, "is neither a tissue of the library nor a complete new one",
           "one of " + joined(library) + ", or all required keys of a new tissue, or like = \"OTHER\"", nearest);
  }

  // The tissue `name`, which stands at `path`; `asking` is the one that is like it, none of those to be proposed.
  const TissueEntry& tissue(const std::string& name, const std::string& path, const std::string& asking = "") {
    const auto known = tissues_.find(name);
    if (known != tissues_.end()) return known->second;
    std::vector<std::string> names = library_names(tissue_directory_);
    if (std::find(names.begin(), names.end(), name) != names.end()) {
      return tissues_[name] = library_tissue(tissue_directory_, name);
    }
    for (const std::string& own : own_) {
      if (own != asking && std::find(names.begin(), names.end(), own) == names.end()) names.push_back(own);
    }
    refuse(document_, path,
           "names an unknown tissue: there is no [tissue." + name + "] here and none in " + tissue_directory_.string(),
           "one of " + joined(names), nearest_name(name, names));
  }

  // The tissue named by `value`, which stands at `path`. Without a value when it is a problem, here or where the tissue
  // is.
  std::optional<Tissue> named_tissue(const toml::node& value, const KeyInfo& key, const std::string& section) {
    std::optional<Tissue> found;
    problems_.attempt(path_of(section, key.name), [&] {
      const std::string name = read_text(value, key, section);
      used_.push_back(name);
      const bool broken = tissues_.count(name) == 0 && std::find(own_.begin(), own_.end(), name) != own_.end();
      if (!broken) found = tissue(name, path_of(section, key.name)).tissue;
    });
    return found;
  }

  void read_layers() {
    const toml::table* specimen = section("specimen");
    if (specimen == nullptr) return;
    const toml::node* single = specimen->get("tissue");
    const toml::node* several = specimen->get("layers");
    if (single != nullptr && several != nullptr) {
      problems_.add(problem_about(document_, "specimen.layers", "is given beside specimen.tissue", "one of the two"));
    } else if (single != nullptr) {
      const auto found = named_tissue(*single, key_named(specimen_keys(), "tissue"), "specimen");
      if (found) case_.specimen.layers.push_back({*found, case_.specimen.depth});
    } else if (several != nullptr) {
      problems_.attempt("specimen.layers", [&] { read_layer_list(*several); });
    } else if (!problems_.concern("specimen.tissue") && !problems_.concern("specimen.layers")) {
      problems_.add(problem_about(document_, "specimen.tissue", "is missing",
                                  "tissue = \"NAME\", or layers = [{ tissue = \"NAME\", ... }, ...]"));
    }
    find_idle_overrides();
  }

  void read_layer_list(const toml::node& value) {
    const auto tables = read_tables(value, key_named(specimen_keys(), "layers"), "specimen");
    if (tables.empty()) refuse(document_, "specimen.layers", "is empty", "at least one layer");
    bool complete = true;
    for (std::size_t k = 0; k < tables.size(); ++k) {
      complete = read_layer(*tables[k], k, k + 1 == tables.size()) && complete;
    }
    if (complete && !problems_.concern("specimen.layers") && !problems_.concern("specimen.depth_mm")) {
      place_last_layer();
    }
  }

  bool read_layer(const toml::table& table, std::size_t k, bool last) {
    const std::string path = "specimen.layers." + std::to_string(k);
    Layer layer;
    read_values(table, layer_keys(), path, layer, problems_);
    if (!last && !table.contains("thickness_mm")) {
      miss_key(table, key_named(layer_keys(), "thickness_mm"), path, problems_);
    }
    const toml::node* name = table.get("tissue");
    const auto found = name == nullptr ? std::nullopt : named_tissue(*name, key_named(layer_keys(), "tissue"), path);
    if (!found) return false;
    layer.tissue = *found;
    case_.specimen.layers.push_back(layer);
    return true;
  }

  void place_last_layer() {
    std::vector<Layer>& layers = case_.specimen.layers;
    double above = 0;
    for (std::size_t k = 0; k + 1 < layers.size(); ++k) above += layers[k].thickness;
    const double left = case_.specimen.depth - above;
    const double rounding = 1e-9 * case_.specimen.depth;
    if (left <= rounding || layers.back().thickness > left + rounding) {
      refuse(document_, "specimen.layers", "are thicker than the specimen is deep",
             "together no more than specimen.depth_mm = " + shown_mm(case_.specimen.depth));
    }
    layers.back().thickness = left;
  }

  static std::string shown_mm(double length) {
    return number_text(from_si(key_named(specimen_keys(), "depth_mm").unit, length));
  }

  // A file may keep tissues at hand that no layer uses; a change asked for on the command line has to change something.
  void find_idle_overrides() const {
    const toml::table* tissues = section("tissue");
    if (tissues == nullptr || used_.empty()) return;
    for (const auto& [key, value] : *tissues) {
      const std::string name(key.str());
      const toml::table* table = value.as_table();
      if (table == nullptr || std::find(used_.begin(), used_.end(), name) != used_.end()) continue;
      for (const auto& [changed, number] : *table) {
        const std::string path = "tissue." + name + "." + std::string(changed.str());
        if (!place_of(number.source()).starts_with(override_mark) || problems_.concern(path)) continue;
        problems_.add(problem_about(document_, path, "changes nothing: no layer is of that tissue",
                                    "one of " + joined(used_), nearest_name(name, used_)));
      }
    }
  }

  void read_modes() {
    read_list("mode", mode_keys(), case_.modes);
    if (case_.modes.empty() && use_ != CaseUse::pad && !problems_.concern("mode")) {
      problems_.add(problem_about(document_, "mode", "is an empty list", "at least one [[mode]]"));
    }
    const auto tables = list("mode");
    for (std::size_t k = 0; k < tables.size(); ++k) {
      const std::string path = path_of("mode", std::to_string(k));
      Mode& mode = case_.modes[k];
      if (!tables[k]->contains("label")) mode.label = label_of(mode);
      if (const toml::node* value = tables[k]->get("waveform")) {
        problems_.attempt(path + ".waveform", [&] {
          read_waveform(read_table(*value, key_named(mode_keys(), "waveform"), path), path + ".waveform",
                        mode.waveform);
        });
      }
      if (const toml::node* value = tables[k]->get("source")) {
        problems_.attempt(path + ".source", [&] {
          read_source(read_table(*value, key_named(mode_keys(), "source"), path), path + ".source", mode.source);
        });
      }
    }
  }

  void read_waveform(const toml::table& table, const std::string& path, Waveform& waveform) const {
    read_values(table, waveform_keys(), path, waveform, problems_);
    if (problems_.concern(path + ".kind")) return;
    if (waveform.kind == WaveformKind::gated && !table.contains("duty")) {
      miss_key(table, key_named(waveform_keys(), "duty"), path, problems_);
    }
    if (waveform.kind != WaveformKind::sampled || table.contains("time_s") || table.contains("samples")) return;
    if (waveform.file.empty()) return miss_key(table, key_named(waveform_keys(), "file"), path, problems_);
    TwoColumns columns = read_two_columns(data_directory_ / waveform.file);
    refuse_disorder(columns, waveform.file, "time");
    waveform.time = std::move(columns.first);
    waveform.voltage = std::move(columns.second);
  }

  void read_source(const toml::table& table, const std::string& path, Source& source) const {
    read_values(table, source_keys(), path, source, problems_);
    const Key<Source>& share_key = key_named(source_keys(), "power_share");
    if (const toml::node* value = table.get(share_key.name)) source.power = read_numbers(*value, share_key, path);
    const bool inline_table = table.contains("load_ohm") || table.contains(share_key.name);
    if (source.kind == SourceKind::table && !inline_table) {
      if (source.file.empty()) return miss_key(table, key_named(source_keys(), "file"), path, problems_);
      TwoColumns columns = read_two_columns(data_directory_ / source.file);
      refuse_disorder(columns, source.file, "load");
      source.load = std::move(columns.first);
      source.power = std::move(columns.second);
    }
    for (double& power : source.power) power *= source.setting;
  }

  void refuse_disorder(const TwoColumns& columns, const std::string& file, const std::string& quantity) const {
    for (std::size_t k = 1; k < columns.first.size(); ++k) {
      if (columns.first[k] > columns.first[k - 1]) continue;
      throw CaseError({(data_directory_ / file).string() + ":" + std::to_string(columns.line[k]) + ":1",
                       "the " + quantity + " does not increase", number_text(columns.first[k]),
                       "more than " + number_text(columns.first[k - 1]), ""});
    }
  }

  void read_damage() {
    read_list("damage", damage_keys(), case_.damage);
    const std::vector<Layer>& layers = case_.specimen.layers;
    if (!case_.damage.empty() || problems_.concern("damage") || layers.empty()) return;
    const TissueEntry& top = tissues_.at(layers.front().tissue.name);
    if (top.damage) {
      case_.damage.push_back(*top.damage);
    } else if (!problems_.concern("specimen.layers.0") && !problems_.concern("tissue." + top.tissue.name + ".damage")) {
      problems_.add(problem_about(document_, "damage",
                                  "is missing, and the tissue '" + top.tissue.name + "' has no usual pair",
                                  "at least one [[damage]], or [tissue." + top.tissue.name + ".damage]"));
    }
  }

  void read_effects() {
    read_list("effect", effect_keys(), case_.effects);
    const auto tables = list("effect");
    for (std::size_t k = 0; k < tables.size(); ++k) {
      const std::string path = path_of("effect", std::to_string(k));
      const toml::node* of = tables[k]->get("of");
      if (of != nullptr) problems_.attempt([&] { read_judgement(*of, path, case_.effects[k]); });
    }
    if (case_.effects.empty()) case_.effects = default_effects();
  }

  void read_judgement(const toml::node& value, const std::string& path, Effect& effect) const {
    const std::string of = read_text(value, key_named(effect_keys(), "of"), path);
    std::vector<std::string> choices;
    for (std::size_t k = 0; k < case_.damage.size(); ++k) {
      effect.pair = static_cast<int>(k);
      if (of == judged_by(effect, case_)) return;
      choices.push_back(judged_by(effect, case_));
    }
    const std::string_view damage = word_of(EffectKind::damage);
    const bool of_damage = of.starts_with(damage);
    if (of_damage && (case_.damage.empty() || problems_.concern("damage"))) return;
    for (const auto& [kind, word] : enumerators(EffectKind{})) {
      if (kind == EffectKind::damage) continue;
      effect.of = kind;
      effect.pair = 0;
      if (of == word) return;
      choices.emplace_back(word);
    }
    refuse(document_, path + ".of", of_damage ? "refers to an unknown damage pair" : "is no known effect",
           "one of " + joined(choices), nearest_name(of, choices));
  }

  CaseUse use_;
  const toml::table& document_;
  std::filesystem::path tissue_directory_, data_directory_;
  CaseProblems& problems_;
  std::map<std::string, TissueEntry> tissues_;
  std::vector<std::string> own_;  // names of the case's own tissues, usable or not
  std::set<std::string> begun_;   // of them, those read or being read
  std::set<std::string> being_read_;
  std::vector<std::string> used_;  // names of the layers' tissues
  Case case_;
};

// A case and the document it was read from, whose nodes say where every value stands.
struct ReadCase {
  toml::table document;
  Case c;
};

ReadCase read_document(std::string_view text, std::string_view name, std::span<const std::string> overrides,
                       const std::filesystem::path& tissue_directory, const std::filesystem::path& data_directory,
                       CaseUse use) {
  ReadCase read{parse_toml(text, std::string(name)), {}};
  CaseProblems problems{std::string(name)};
  rename_former_names(read.document, problems);  // before the overrides, which may use the new names already
  apply_overrides(read.document, overrides, problems);
  rename_former_names(read.document, problems);
  read.c = CaseReader(read.document, tissue_directory, data_directory, use, problems).read();
  problems.raise();
  return read;
}

}  // namespace

Case parse_case(std::string_view toml_text, std::string_view name_for_messages, std::span<const std::string> overrides,
                const std::filesystem::path& tissue_directory, const std::filesystem::path& data_directory,
                CaseUse use) {
  return read_document(toml_text, name_for_messages, overrides, tissue_directory, data_directory, use).c;
}

Case read_case(const std::filesystem::path& file, std::span<const std::string> overrides,
               const std::filesystem::path& tissue_directory, CaseUse use) {
  return parse_case(file_text(file), file.string(), overrides, tissue_directory, file.parent_path(), use);
}

JudgedCase parse_and_judge(std::string_view toml_text, std::string_view name_for_messages,
                           std::span<const std::string> overrides, const std::filesystem::path& tissue_directory,
                           const std::filesystem::path& data_directory) {
  ReadCase read =
      read_document(toml_text, name_for_messages, overrides, tissue_directory, data_directory, CaseUse::simulation);
  JudgedCase judged{std::move(read.c), {}, {}};
  judged.warnings = odd_value_warnings(judged.c, read.document);
  for (std::size_t k = 0; k < judged.c.modes.size(); ++k) {
    const std::string path = "mode." + std::to_string(k) + ".source.peak_limit_V";
    judged.limit_places.push_back(problem_about(read.document, path, "", "").place);
  }
  return judged;
}

JudgedCase read_and_judge(const std::filesystem::path& file, std::span<const std::string> overrides,
                          const std::filesystem::path& tissue_directory) {
  return parse_and_judge(file_text(file), file.string(), overrides, tissue_directory, file.parent_path());
}

}  // namespace dryfront
