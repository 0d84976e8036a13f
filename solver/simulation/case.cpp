#include "simulation/case.hpp"

#include <algorithm>

namespace dryfront {

std::string label_of(const Mode& mode) {
  if (!mode.label.empty()) return mode.label;
  std::string label = mode.name;
  std::replace(label.begin(), label.end(), '_', ' ');
  return label;
}

std::vector<Effect> default_effects() {
  constexpr double char_temperature = 200;  // assumed
  return {{"coagulation", EffectKind::damage, 0, 1.0},
          {"desiccation", EffectKind::dry, 0, 0.5},
          {"char", EffectKind::peak_temperature, 0, char_temperature}};
}

std::vector<std::string> field_names(const Case& c) {
  std::vector<std::string> names;
  for (const auto& [field, word] : enumerators(Field{})) {
    if (field != Field::omega) names.emplace_back(word);
    for (std::size_t k = 0; field == Field::omega && k < c.damage.size(); ++k) {
      names.push_back(std::string(word) + "_" + c.damage[k].name);
    }
  }
  return names;
}

}  // namespace dryfront
