#include "simulation/case.hpp"

#include <algorithm>

namespace dryfront {

std::string label_of(const Mode& mode) {
  if (!mode.label.empty()) return mode.label;
  std::string label = mode.name;
  std::replace(label.begin(), label.end(), '_', ' ');
  return label;
}

}  // namespace dryfront
