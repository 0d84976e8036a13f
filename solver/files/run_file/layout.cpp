#include "files/run_file/layout.hpp"

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

std::string judged_by(const Effect& effect, const Case& c) {
  std::string of(word_of(effect.of));
  if (effect.of == EffectKind::damage) of += ":" + c.damage.at(static_cast<std::size_t>(effect.pair)).name;
  return of;
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
