#include "files/run_file/layout.hpp"

#include <algorithm>
#include <cassert>

namespace dryfront {

std::vector<FieldColumn> field_columns(const Case& c) {
  std::vector<FieldColumn> all;
  const auto plain = [&all](Field field, const char* units, const char* long_name, std::vector<double> Frame::*values,
                            bool wide = false) {
    all.push_back({std::string(word_of(field)), units, long_name, wide,
                   [values](const Frame& f) -> const std::vector<double>& { return f.*values; }});
  };
  plain(Field::temperature, "degC", "temperature", &Frame::temperature);
  plain(Field::water_fraction, "1", "water left over initial water", &Frame::water);
  for (std::size_t k = 0; k < c.damage.size(); ++k) {
    const std::string& pair = c.damage[k].name;
    all.push_back({std::string(word_of(Field::omega)) + "_" + pair, "1", "damage integral of " + pair, true,
                   [k](const Frame& f) -> const std::vector<double>& { return f.omega[k]; }});
  }
  plain(Field::cem43, "min", "cumulative equivalent minutes at 43 degC", &Frame::cem43, true);
  plain(Field::peak_temperature, "degC", "greatest temperature so far", &Frame::peak_temperature);
  plain(Field::heating, "W/m3", "electric heating per volume", &Frame::heating);
  plain(Field::potential, "V", "rms electric potential", &Frame::potential);
  plain(Field::conductivity, "S/m", "effective electric conductivity", &Frame::conductivity);

  const auto& wanted = c.output.fields;
  if (wanted.empty()) return all;
  std::erase_if(all, [&wanted](const FieldColumn& field) {
    return std::find(wanted.begin(), wanted.end(), field.name) == wanted.end();
  });
  return all;
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
