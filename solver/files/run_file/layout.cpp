#include "files/run_file/layout.hpp"

#include <algorithm>
#include <cassert>

namespace dryfront {

std::vector<FieldColumn> field_columns(const Case& c) {
  std::vector<FieldColumn> all{
      {"temperature_C", "degC", "temperature", false, &Frame::temperature},
      {"water_fraction", "1", "water left over initial water", false, &Frame::water},
  };
  for (std::size_t k = 0; k < c.damage.size(); ++k) {
    const std::string& pair = c.damage[k].name;
    all.push_back({"omega_" + pair, "1", "damage integral of " + pair, true,
                   [k](const Frame& frame) -> const std::vector<double>& { return frame.omega[k]; }});
  }
  all.push_back({"cem43_min", "min", "cumulative equivalent minutes at 43 degC", true, &Frame::cem43});
  all.push_back({"peak_temperature_C", "degC", "greatest temperature so far", false, &Frame::peak_temperature});
  all.push_back({"heating_W_m3", "W/m3", "electric heating per volume", false, &Frame::heating});
  all.push_back({"potential_V", "V", "rms electric potential", false, &Frame::potential});
  all.push_back({"conductivity_S_m", "S/m", "effective electric conductivity", false, &Frame::conductivity});

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
