#include "files/case/trade_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace dryfront {

namespace {

double half(double whole) { return whole / 2; }
double hundredth(double percent) { return percent / 100; }
double share(double given) { return given > 1 ? given / 100 : given; }
double duty_of_crest(double crest) { return 2 / (crest * crest); }
double one_over(double given) { return 1 / given; }
double radius_of_area(double area) { return std::sqrt(area / std::numbers::pi); }

constexpr std::array rows{
    TradeWord{"power watts wattage output output_power set_power power_setting", "mode.source", "setting_W"},
    TradeWord{"duty_cycle duty_ratio duty_factor on_ratio", "mode.waveform", "duty", "a share, 6 % is 0.06", share},
    TradeWord{"duty_percent on_percent", "mode.waveform", "duty", "a hundredth of it", hundredth},
    TradeWord{"crest_factor crest", "mode.waveform", "duty", "of kind gated, 2 over its square", duty_of_crest},
    TradeWord{"frequency carrier_frequency rf_frequency", "mode.waveform", "carrier_kHz"},
    TradeWord{"repetition repetition_rate repetition_frequency burst_rate burst_frequency modulation_frequency",
              "mode.waveform", "repeat_kHz"},
    TradeWord{"time_constant decay_time damping", "mode.waveform", "decay_us"},
    TradeWord{"voltage volts rms_voltage vrms", "mode.source", "rms_V",
              "of kind voltage (the greatest peak voltage is peak_limit_V)"},
    TradeWord{"peak peak_voltage max_voltage maximum_voltage voltage_limit open_circuit_voltage vpeak", "mode.source",
              "peak_limit_V"},
    TradeWord{"peak_to_peak peak_to_peak_voltage vpp", "mode.source", "peak_limit_V", "half of it", half},
    TradeWord{"current amps rms_current max_current maximum_current", "mode.source", "current_limit_A"},
    TradeWord{"impedance resistance rated_impedance rated_resistance load_impedance load_resistance output_impedance",
              "mode.source", "rated_load_ohm",
              "of kind unregulated, the load that takes all of the setting (that of the tissue is computed)"},
    TradeWord{"time duration on_time activation_time exposure_time contact_time", "mode", "activation_s"},
    TradeWord{"pause rest rest_time off_time cooling cooling_time watching_time", "mode", "after_s"},
    TradeWord{"temperature start_temperature initial_temperature tissue_temperature", "specimen", "start_C"},
    TradeWord{"temperature target target_temperature set_temperature", "mode.source", "hold_C", "of kind temperature"},
    TradeWord{"room_temperature ambient ambient_temperature air_temperature", "specimen", "surroundings_C"},
    TradeWord{"diameter width", "electrode", "radius_mm", "half of it", half},
    TradeWord{"area face_area", "electrode", "radius_mm", "the root of the area over pi", radius_of_area},
    TradeWord{"thickness height", "specimen", "depth_mm"},
    TradeWord{"inserted_length insertion insertion_depth", "electrode", "length_mm"},
    TradeWord{"distance air_gap standoff", "electrode", "gap_mm", "of contact gap"},
    TradeWord{"force pressure contact_force contact_pressure contact_area", "electrode", "contact_fraction",
              "the share of the face that truly touches, which pressing raises (0.1 to 1)"},
    TradeWord{"electrical_conductivity electric_conductivity", "tissue", "conductivity_S_m"},
    TradeWord{"resistivity electrical_resistivity", "tissue", "conductivity_S_m", "1 over it", one_over},
    TradeWord{"thermal_conductivity heat_conductivity", "tissue", "conduction_W_mK"},
    TradeWord{"specific_heat heat_capacity", "tissue", "heat_J_kgK"},
    TradeWord{"heat_capacity", "electrode", "capacity_J_K"},
    TradeWord{"permittivity dielectric_constant", "tissue", "relative_permittivity"},
    TradeWord{"water_content moisture_content", "tissue", "water_fraction"},
    TradeWord{"boiling_point boiling_temperature", "tissue", "boil_C"},
    TradeWord{"activation_energy", "damage", "energy_J_mol"},
    TradeWord{"frequency_factor", "damage", "frequency_1_s"},
    TradeWord{"mesh_size cell_size element_size", "grid", "fine_mm"},
    TradeWord{"time_step timestep", "time", "longest_s"},
};

constexpr std::array choice_rows{
    TradeChoice{"sine sinusoidal unmodulated continuous_wave", "mode.waveform", "kind", "continuous"},
    TradeChoice{"pulsed interrupted burst bursts modulated", "mode.waveform", "kind", "gated"},
    TradeChoice{"damped_sine ringing", "mode.waveform", "kind", "damped"},
    TradeChoice{"recorded measured samples", "mode.waveform", "kind", "sampled"},
    TradeChoice{"constant_voltage fixed_voltage rms", "mode.source", "kind", "voltage"},
    TradeChoice{"load_curve power_curve measured", "mode.source", "kind", "table"},
    TradeChoice{"held_temperature constant_temperature temperature_controlled", "mode.source", "kind", "temperature"},
    TradeChoice{"flat plate circle button", "electrode", "shape", "disc"},
    TradeChoice{"ball sphere hemisphere", "electrode", "shape", "dome"},
    TradeChoice{"needle wire pin cylinder", "electrode", "shape", "rod"},
    TradeChoice{"annulus", "electrode", "shape", "ring"},
    TradeChoice{"ideal full", "electrode", "contact", "perfect"},
    TradeChoice{"air held_off spark", "electrode", "contact", "gap"},
    TradeChoice{"adiabatic none", "electrode", "heat", "insulated"},
    TradeChoice{"axisymmetric cylindrical", "specimen", "symmetry", "axis"},
    TradeChoice{"planar", "specimen", "symmetry", "plane"},
};

std::string plain(std::string_view word) {
  std::string text;
  for (const char letter : word) {
    const bool joint = letter == ' ' || letter == '-';
    text += joint ? '_' : static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
  }
  return text;
}

template <class Call>
void each_word(std::string_view words, Call call) {
  for (std::size_t begin = 0; begin < words.size();) {
    const std::size_t end = std::min(words.find(' ', begin), words.size());
    call(words.substr(begin, end - begin));
    begin = end + 1;
  }
}

// What stands behind the row's word in `name`, a unit without its _; nothing when the row does not hold it.
std::optional<std::string> unit_behind(const TradeWord& row, std::string_view name) {
  const std::string given = plain(name);
  std::optional<std::string> unit;
  each_word(row.words, [&](std::string_view word) {
    if (given == word) unit = "";
    if (given.size() > word.size() + 1 && given.starts_with(word) && given[word.size()] == '_') {
      const std::string suffix(name.substr(word.size() + 1));
      if (is_unit_suffix(suffix)) unit = suffix;
    }
  });
  return unit;
}

const KeyInfo* key_in(const Section& section, std::string_view key) {
  const auto found = std::find_if(section.keys.begin(), section.keys.end(),
                                  [&](const KeyInfo& candidate) { return candidate.name == key; });
  return found == section.keys.end() ? nullptr : &*found;
}

const Section* section_at(std::string_view path) {
  const auto found =
      std::find_if(sections().begin(), sections().end(), [&](const Section& part) { return part.path == path; });
  return found == sections().end() ? nullptr : &*found;
}

// "half of it: radius_mm = 3"
std::string value_advice(const TradeWord& row, const KeyInfo& key, const std::string& unit, const toml::node& value) {
  std::string text = row.how.empty() ? "" : ", " + std::string(row.how);
  const std::optional<double> given = value.value<double>();
  if (!given || (!unit.empty() && unit != key.unit.suffix)) return text;
  const double meant = row.convert != nullptr ? row.convert(*given) : *given;
  if (!key.range.contains(meant)) return text;
  return text + ": " + key.name + " = " + fmt::format("{:.6g}", meant);
}

}  // namespace

std::span<const TradeWord> trade_words() { return rows; }
std::span<const TradeChoice> trade_choices() { return choice_rows; }

std::optional<MeantKey> meant_key(std::string_view name, const toml::node& value, std::span<const KeyInfo> keys,
                                  std::string_view section) {
  const Section* here = section_at(section);
  // A plan's sections may have the path of one of a case, and are not meant.
  if (here == nullptr || here->keys.size() != keys.size() || here->keys.front().name != keys.front().name) {
    return std::nullopt;
  }
  const TradeWord* row = nullptr;
  std::string unit;
  for (const TradeWord& candidate : rows) {
    const std::optional<std::string> behind = unit_behind(candidate, name);
    if (!behind || (row != nullptr && candidate.section != section)) continue;
    row = &candidate;
    unit = *behind;
    if (candidate.section == section) break;
  }
  if (row == nullptr) return std::nullopt;
  MeantKey meant{here, key_in(*here, row->key), ""};  // a radius is meant where the diameter stands
  if (meant.key == nullptr) {
    meant.section = section_at(row->section);
    meant.key = key_in(*meant.section, row->key);
  }
  meant.answer = "that is " + meant.key->name + value_advice(*row, *meant.key, unit, value);
  if (meant.section != here) meant.answer += ", and it belongs in " + meant.section->heading;
  return meant;
}

std::string_view meant_choice(std::string_view word, const KeyInfo& key) {
  const std::string given = plain(word);
  for (const TradeChoice& row : choice_rows) {
    if (row.key != key.name || std::find(key.choices.begin(), key.choices.end(), row.choice) == key.choices.end()) {
      continue;
    }
    bool found = false;
    each_word(row.words, [&](std::string_view candidate) { found = found || candidate == given; });
    if (found) return row.choice;
  }
  return "";
}

}  // namespace dryfront
