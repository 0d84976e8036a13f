#include "files/case/case_file.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <optional>
#include <utility>
#include <vector>

#include <toml++/toml.h>

#include "files/case/checks.hpp"
#include "files/case/key_table.hpp"
#include "files/case/overrides.hpp"
#include "files/case/tissue_library.hpp"
#include "files/case/two_column_file.hpp"
#include "files/case/values.hpp"
#include "files/file_text.hpp"

namespace dryfront {

namespace {

// Reads one document, section by section in the order of the members below `read`.
class CaseReader {
 public:
  CaseReader(const toml::table& document, std::filesystem::path tissue_directory, std::filesystem::path data_directory)
      : document_(document),
        tissue_directory_(std::move(tissue_directory)),
        data_directory_(std::move(data_directory)) {}

  Case read() {
    read_values(document_, case_keys(), "", case_);
    read_section("electrode", electrode_keys(), case_.electrode);
    read_section("physics", physics_keys(), case_.physics);
    read_section("grid", grid_keys(), case_.grading);
    read_section("time", time_keys(), case_.time);
    read_section("output", output_keys(), case_.output);
    read_section("comparison", comparison_keys(), case_.comparison);
    read_section("specimen", specimen_keys(), case_.specimen);
    read_own_tissues();
    read_layers();
    read_modes();
    read_damage();
    read_effects();
    read_list("probe", probe_keys(), case_.probes);
    check_case(case_, document_);
    return std::move(case_);
  }

 private:
  const toml::table* section(const std::string& name) const {
    const toml::node* value = document_.get(name);
    return value == nullptr ? nullptr : &read_table(*value, key_named(case_keys(), name), "");
  }

  template <class Object>
  void read_section(const std::string& name, const Keys<Object>& keys, Object& object) const {
    if (const toml::table* table = section(name)) read_values(*table, keys, name, object);
  }

  std::vector<const toml::table*> list(const std::string& name) const {
    const toml::node* value = document_.get(name);
    if (value == nullptr) return {};
    return read_tables(*value, key_named(case_keys(), name), "");
  }

  template <class Object>
  void read_list(const std::string& name, const Keys<Object>& keys, std::vector<Object>& objects) const {
    for (const toml::table* table : list(name)) {
      objects.emplace_back();
      read_values(*table, keys, path_of(name, std::to_string(objects.size() - 1)), objects.back());
    }
  }

  void read_own_tissues() {
    const std::vector<std::string> library = library_names(tissue_directory_);
    const toml::table* tissues = section("tissue");
    if (tissues == nullptr) return;
    for (const auto& [key, value] : *tissues) {
      const std::string name(key.str());
      const std::string path = "tissue." + name;
      const toml::table* table = value.as_table();
      if (table == nullptr) refuse(document_, path, "is not the table of a tissue", "[tissue.NAME] with its keys");
      std::optional<TissueEntry> base;
      if (std::find(library.begin(), library.end(), name) != library.end()) {
        base = library_tissue(tissue_directory_, name);
      } else {
        refuse_misspelt_tissue(*table, name, library);
      }
      tissues_[name] = case_tissue(*table, name, base);
    }
  }

  // A new tissue that lacks what it requires and is called almost like one of the library is a slip of the pen.
  void refuse_misspelt_tissue(const toml::table& table, const std::string& name,
                              const std::vector<std::string>& library) const {
    const auto lacks = [&](const Key<Tissue>& key) { return key.required && !table.contains(key.name); };
    const std::string nearest = nearest_name(name, library);
    if (nearest.empty() || std::none_of(tissue_keys().begin(), tissue_keys().end(), lacks)) return;
    refuse(document_, "tissue." + name, "is neither a tissue of the library nor a complete new one",
           "one of " + joined(library) + ", or all required keys of a new tissue", nearest);
  }

  const TissueEntry& tissue(const std::string& name, const std::string& path) {
    const auto known = tissues_.find(name);
    if (known != tissues_.end()) return known->second;
    std::vector<std::string> names = library_names(tissue_directory_);
    if (std::find(names.begin(), names.end(), name) != names.end()) {
      return tissues_[name] = library_tissue(tissue_directory_, name);
    }
    for (const auto& [own, entry] : tissues_) names.push_back(own);
    refuse(document_, path,
           "names an unknown tissue: there is no [tissue." + name + "] here and none in " + tissue_directory_.string(),
           "one of " + joined(names), nearest_name(name, names));
  }

  void read_layers() {
    const toml::table& specimen = *section("specimen");
    const toml::node* single = specimen.get("tissue");
    const toml::node* several = specimen.get("layers");
    if (single != nullptr && several != nullptr) {
      refuse(document_, "specimen.layers", "is given beside specimen.tissue", "one of the two");
    }
    if (single == nullptr && several == nullptr) {
      refuse(document_, "specimen.tissue", "is missing",
             "tissue = \"NAME\", or layers = [{ tissue = \"NAME\", ... }, ...]", "");
    }
    std::vector<Layer>& layers = case_.specimen.layers;
    if (single != nullptr) {
      const std::string name = read_text(*single, key_named(specimen_keys(), "tissue"), "specimen");
      layers.push_back({tissue(name, "specimen.tissue").tissue, 0});
      used_.push_back(name);
    } else {
      const auto tables = read_tables(*several, key_named(specimen_keys(), "layers"), "specimen");
      if (tables.empty()) refuse(document_, "specimen.layers", "is empty", "at least one layer");
      for (std::size_t k = 0; k < tables.size(); ++k) read_layer(*tables[k], k, k + 1 == tables.size());
    }
    place_last_layer();
    refuse_idle_override();
  }

  void read_layer(const toml::table& table, std::size_t k, bool last) {
    const std::string path = "specimen.layers." + std::to_string(k);
    Layer layer;
    read_values(table, layer_keys(), path, layer);
    if (!last && !table.contains("thickness_mm")) {
      refuse_missing_key(table, key_named(layer_keys(), "thickness_mm"), path);
    }
    const std::string name = read_text(*table.get("tissue"), key_named(layer_keys(), "tissue"), path);
    layer.tissue = tissue(name, path + ".tissue").tissue;
    used_.push_back(name);
    case_.specimen.layers.push_back(layer);
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
  void refuse_idle_override() const {
    const toml::table* tissues = section("tissue");
    if (tissues == nullptr) return;
    for (const auto& [key, value] : *tissues) {
      const std::string name(key.str());
      if (std::find(used_.begin(), used_.end(), name) != used_.end()) continue;
      for (const auto& [changed, number] : *value.as_table()) {
        if (!place_of(number.source()).starts_with(override_mark)) continue;
        refuse(document_, "tissue." + name + "." + std::string(changed.str()),
               "changes nothing: no layer is of that tissue", "one of " + joined(used_), nearest_name(name, used_));
      }
    }
  }

  void read_modes() {
    read_list("mode", mode_keys(), case_.modes);
    if (case_.modes.empty()) refuse(document_, "mode", "is an empty list", "at least one [[mode]]");
    const auto tables = list("mode");
    for (std::size_t k = 0; k < tables.size(); ++k) {
      const std::string path = path_of("mode", std::to_string(k));
      if (const toml::node* value = tables[k]->get("waveform")) {
        read_waveform(read_table(*value, key_named(mode_keys(), "waveform"), path), path + ".waveform",
                      case_.modes[k].waveform);
      }
      read_source(read_table(*tables[k]->get("source"), key_named(mode_keys(), "source"), path), path + ".source",
                  case_.modes[k].source);
    }
  }

  void read_waveform(const toml::table& table, const std::string& path, Waveform& waveform) const {
    read_values(table, waveform_keys(), path, waveform);
    if (waveform.kind == WaveformKind::gated && !table.contains("duty")) {
      refuse_missing_key(table, key_named(waveform_keys(), "duty"), path);
    }
    if (waveform.kind != WaveformKind::sampled || table.contains("time_s") || table.contains("samples")) return;
    if (waveform.file.empty()) refuse_missing_key(table, key_named(waveform_keys(), "file"), path);
    TwoColumns columns = read_two_columns(data_directory_ / waveform.file);
    refuse_disorder(columns, waveform.file, "time");
    waveform.time = std::move(columns.first);
    waveform.voltage = std::move(columns.second);
  }

  void read_source(const toml::table& table, const std::string& path, Source& source) const {
    read_values(table, source_keys(), path, source);
    const Key<Source>& share_key = key_named(source_keys(), "power_share");
    if (const toml::node* value = table.get(share_key.name)) source.power = read_numbers(*value, share_key, path);
    const bool inline_table = table.contains("load_ohm") || table.contains(share_key.name);
    if (source.kind == SourceKind::table && !inline_table) {
      if (source.file.empty()) refuse_missing_key(table, key_named(source_keys(), "file"), path);
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
    if (!case_.damage.empty()) return;
    const TissueEntry& top = tissues_.at(case_.specimen.layers.front().tissue.name);
    if (!top.damage) {
      refuse(document_, "damage", "is missing, and the tissue '" + top.tissue.name + "' has no usual pair",
             "at least one [[damage]], or [tissue." + top.tissue.name + ".damage]");
    }
    case_.damage.push_back(*top.damage);
  }

  void read_effects() {
    read_list("effect", effect_keys(), case_.effects);
    const auto tables = list("effect");
    for (std::size_t k = 0; k < tables.size(); ++k) read_judgement(*tables[k], k, case_.effects[k]);
    if (!case_.effects.empty()) return;
    constexpr double char_temperature = 200;  // assumed
    case_.effects = {{"coagulation", EffectKind::damage, 0, 1.0},
                     {"desiccation", EffectKind::dry, 0, 0.5},
                     {"char", EffectKind::peak_temperature, 0, char_temperature}};
  }

  void read_judgement(const toml::table& table, std::size_t k, Effect& effect) const {
    const std::string path = path_of("effect", std::to_string(k));
    const std::string of = read_text(*table.get("of"), key_named(effect_keys(), "of"), path);
    std::vector<std::string> choices;
    for (const DamagePair& pair : case_.damage) choices.push_back("damage:" + pair.name);
    const auto found = std::find(choices.begin(), choices.end(), of);
    if (found != choices.end()) {
      effect.of = EffectKind::damage;
      effect.pair = static_cast<int>(found - choices.begin());
      return;
    }
    for (const auto& [kind, word] : enumerators(EffectKind{})) {
      if (kind == EffectKind::damage) continue;
      effect.of = kind;
      if (of == word) return;
      choices.emplace_back(word);
    }
    const bool of_damage = of.starts_with("damage");
    refuse(document_, path + ".of", of_damage ? "refers to an unknown damage pair" : "is no known effect",
           "one of " + joined(choices), nearest_name(of, choices));
  }

  const toml::table& document_;
  std::filesystem::path tissue_directory_, data_directory_;
  std::map<std::string, TissueEntry> tissues_;
  std::vector<std::string> used_;  // names of the layers' tissues
  Case case_;
};

}  // namespace

Case parse_case(std::string_view toml_text, std::string_view name_for_messages, std::span<const std::string> overrides,
                const std::filesystem::path& tissue_directory, const std::filesystem::path& data_directory) {
  toml::table document = parse_toml(toml_text, std::string(name_for_messages));
  apply_overrides(document, overrides);
  return CaseReader(document, tissue_directory, data_directory).read();
}

Case read_case(const std::filesystem::path& file, std::span<const std::string> overrides,
               const std::filesystem::path& tissue_directory) {
  return parse_case(file_text(file), file.string(), overrides, tissue_directory, file.parent_path());
}

}  // namespace dryfront
