#include "files/run_file_layout.hpp"

#include <algorithm>
#include <cassert>

namespace dryfront {

std::vector<FieldColumn> field_columns(const Case& c) {
  std::vector<FieldColumn> all;
  const auto plain = [&all](const char* name, const char* units, const char* long_name,
                            std::vector<double> Frame::*values, bool wide = false) {
    all.push_back({name, units, long_name, wide, [values](const Frame& f) -> const auto& { return f.*values;
  }
});
};
plain("temperature_C", "degC", "temperature", &Frame::temperature);
plain("water_fraction", "1", "water left over initial water", &Frame::water);
for (std::size_t k = 0; k < c.damage.size(); ++k) {
  const std::string& pair = c.damage[k].name;
    all.push_back({"omega_" + pair, "1", "damage integral of " + pair, true,
                   [k](const Frame& f) -> const auto& { return f.omega[k];
}
});
}
plain("cem43_min", "min", "cumulative equivalent minutes at 43 degC", &Frame::cem43, true);
plain("peak_temperature_C", "degC", "greatest temperature so far", &Frame::peak_temperature);
plain("heating_W_m3", "W/m3", "electric heating per volume", &Frame::heating);
plain("potential_V", "V", "rms electric potential", &Frame::potential);
plain("conductivity_S_m", "S/m", "effective electric conductivity", &Frame::conductivity);

const auto& wanted = c.output.fields;
if (wanted.empty()) return all;
std::erase_if(all, [&wanted](const FieldColumn& field) {
  return std::find(wanted.begin(), wanted.end(), field.name) == wanted.end();
});
return all;
}

const char* word(WaveformKind kind) {
  switch (kind) {
    case WaveformKind::continuous:
      return "continuous";
    case WaveformKind::gated:
      return "gated";
    case WaveformKind::decaying:
      return "decaying";
    case WaveformKind::sampled:
      return "sampled";
  }
  assert(false);
  return "";
}

const char* word(SourceKind kind) {
  switch (kind) {
    case SourceKind::regulated:
      return "regulated";
    case SourceKind::matched:
      return "matched";
    case SourceKind::table:
      return "table";
    case SourceKind::voltage:
      return "voltage";
    case SourceKind::power:
      return "power";
  }
  assert(false);
  return "";
}

const char* word(ElectrodeShape shape) {
  switch (shape) {
    case ElectrodeShape::disc:
      return "disc";
    case ElectrodeShape::ring:
      return "ring";
    case ElectrodeShape::dome:
      return "dome";
    case ElectrodeShape::rod:
      return "rod";
  }
  assert(false);
  return "";
}

const char* word(ContactKind kind) {
  switch (kind) {
    case ContactKind::perfect:
      return "perfect";
    case ContactKind::conductance:
      return "conductance";
    case ContactKind::asperity:
      return "asperity";
    case ContactKind::gap:
      return "gap";
  }
  assert(false);
  return "";
}

const char* word(ElectrodeHeat heat) {
  switch (heat) {
    case ElectrodeHeat::insulated:
      return "insulated";
    case ElectrodeHeat::film:
      return "film";
    case ElectrodeHeat::held:
      return "held";
    case ElectrodeHeat::lumped:
      return "lumped";
  }
  assert(false);
  return "";
}

std::string judged_by(const Effect& effect, const Case& c) {
  switch (effect.of) {
    case EffectKind::damage:
      return "damage:" + c.damage.at(static_cast<std::size_t>(effect.pair)).name;
    case EffectKind::temperature:
      return "temperature";
    case EffectKind::dry:
      return "dry";
    case EffectKind::peak_temperature:
      return "peak_temperature";
    case EffectKind::cem43:
      return "cem43";
  }
  assert(false);
  return "";
}

const char* threshold_units(const Effect& effect) {
  switch (effect.of) {
    case EffectKind::damage:
    case EffectKind::dry:
      return "1";
    case EffectKind::temperature:
    case EffectKind::peak_temperature:
      return "degC";
    case EffectKind::cem43:
      return "min";
  }
  assert(false);
  return "";
}

}  // namespace dryfront
