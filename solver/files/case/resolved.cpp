#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <string_view>
#include <type_traits>
#include <variant>
#include <vector>

#include "files/case/case_file.hpp"
#include "files/case/key_table.hpp"
#include "files/case/values.hpp"

namespace dryfront {

namespace {

// A TOML string; one that holds line ends is written over several lines, so that sources stay readable.
std::string toml_string(std::string_view text) {
  const bool several_lines = text.find('\n') != std::string_view::npos;
  std::string out = several_lines ? "\"\"\"\n" : "\"";
  for (const char letter : text) {
    const auto code = static_cast<unsigned char>(letter);
    if (letter == '"' || letter == '\\') {
      out += '\\';
      out += letter;
    } else if (letter == '\n') {
      out += letter;
    } else if (code < 0x20 || code == 0x7f) {
      std::array<char, 8> escaped{};
      std::snprintf(escaped.data(), escaped.size(), "\\u%04X", static_cast<unsigned>(code));
      out += escaped.data();
    } else {
      out += letter;
    }
  }
  return out + (several_lines ? "\"\"\"" : "\"");
}

template <class List, class Shown>
std::string listed(const List& list, Shown shown) {
  std::string out = "[";
  for (const auto& entry : list) out += (out.size() > 1 ? ", " : "") + shown(entry);
  return out + "]";
}

// The value of a key as TOML; empty when the key has no member of its own.
template <class Object>
std::string value_text(const Key<Object>& key, const Object& object) {
  const auto in_unit = [&key](double number) { return number_text(from_si(key.unit, number)); };
  return std::visit(
      [&](const auto& member) -> std::string {
        using Slot = std::decay_t<decltype(member)>;
        if constexpr (std::is_same_v<Slot, double Object::*>) {
          return in_unit(object.*member);
        } else if constexpr (std::is_same_v<Slot, int Object::*>) {
          return std::to_string(object.*member);
        } else if constexpr (std::is_same_v<Slot, bool Object::*>) {
          return object.*member ? "true" : "false";
        } else if constexpr (std::is_same_v<Slot, std::string Object::*>) {
          return toml_string(object.*member);
        } else if constexpr (std::is_same_v<Slot, std::vector<double> Object::*>) {
          return (object.*member).empty() ? "" : listed(object.*member, in_unit);
        } else if constexpr (std::is_same_v<Slot, std::vector<std::string> Object::*>) {
          return listed(object.*member, [](const std::string& text) { return toml_string(text); });
        } else if constexpr (std::is_same_v<Slot, ChoiceMember<Object>>) {
          return toml_string(key.choices.at(static_cast<std::size_t>(member.get(object))));
        } else {
          return "";
        }
      },
      key.member);
}

template <class Object>
std::string lines(const Keys<Object>& keys, const Object& object) {
  std::string out;
  for (const Key<Object>& key : keys) {
    const std::string value = key.shorthand ? "" : value_text(key, object);
    if (!value.empty()) out += key.name + " = " + value + "\n";
  }
  return out;
}

std::string layers_text(const std::vector<Layer>& layers) {
  if (layers.size() == 1) return "tissue = " + toml_string(layers.front().tissue.name) + "\n";
  std::string out;
  for (std::size_t k = 0; k < layers.size(); ++k) {
    out += k == 0 ? "layers = [\n" : "";
    out += "  { tissue = " + toml_string(layers[k].tissue.name);
    // The last layer reaches to the bottom: its thickness follows.
    if (k + 1 < layers.size())
      out += ", thickness_mm = " + value_text(key_named(layer_keys(), "thickness_mm"), layers[k]);
    out += " },\n";
  }
  return out + "]\n";
}

// The shares of the setting whose products with it are exactly the powers.
std::string power_shares(const Source& source) {
  if (source.power.empty() || !(source.setting > 0)) return "";
  const Unit setting{"", "", source.setting, 1};
  return "power_share = " +
         listed(source.power, [&setting](double power) { return number_text(from_si(setting, power)); }) + "\n";
}

std::string tissues_text(const std::vector<Layer>& layers) {
  std::string out;
  std::vector<std::string> written;
  for (const Layer& layer : layers) {
    const std::string& name = layer.tissue.name;
    if (std::find(written.begin(), written.end(), name) != written.end()) continue;
    written.push_back(name);
    out += "\n[tissue." + toml_string(name) + "]\n" + lines(tissue_keys(), layer.tissue);
  }
  return out;
}

std::string effects_text(const Case& c) {
  std::string out;
  for (const Effect& effect : c.effects) {
    out += "\n[[effect]]\n" + lines(effect_keys(), effect) + "of = " + toml_string(judged_by(effect, c)) + "\n";
  }
  return out;
}

}  // namespace

std::string judged_by(const Effect& effect, const Case& c) {
  std::string of(word_of(effect.of));
  if (effect.of == EffectKind::damage) of += ":" + c.damage.at(static_cast<std::size_t>(effect.pair)).name;
  return of;
}

std::string resolved_toml(const Case& c) {
  std::string out = lines(case_keys(), c);
  out += "\n[specimen]\n" + layers_text(c.specimen.layers) + lines(specimen_keys(), c.specimen);
  out += "\n[electrode]\n" + lines(electrode_keys(), c.electrode);
  for (const Mode& mode : c.modes) {
    out += "\n[[mode]]\n" + lines(mode_keys(), mode);
    out += "\n[mode.waveform]\n" + lines(waveform_keys(), mode.waveform);
    out += "\n[mode.source]\n" + lines(source_keys(), mode.source) + power_shares(mode.source);
  }
  out += "\n[physics]\n" + lines(physics_keys(), c.physics);
  out += tissues_text(c.specimen.layers);
  for (const DamagePair& pair : c.damage) out += "\n[[damage]]\n" + lines(damage_keys(), pair);
  out += effects_text(c);
  for (const Probe& probe : c.probes) out += "\n[[probe]]\n" + lines(probe_keys(), probe);
  out += "\n[grid]\n" + lines(grid_keys(), c.grading);
  out += "\n[time]\n" + lines(time_keys(), c.time);
  out += "\n[output]\n" + lines(output_keys(), c.output);
  out += "\n[comparison]\n" + lines(comparison_keys(), c.comparison);
  if (c.pad) {
    out += "\n[pad]\n" + lines(pad_keys(), *c.pad);
    for (const PadLayer& layer : c.pad->layers) out += "\n[[pad.layer]]\n" + lines(pad_layer_keys(), layer);
  }
  if (c.circuit) out += "\n[circuit]\n" + lines(circuit_keys(), *c.circuit);
  return out;
}

}  // namespace dryfront
