#include "files/case/unbounded_source.hpp"

#include <fmt/format.h>

namespace dryfront {
namespace {

bool holds_power(SourceKind kind) {
  return kind == SourceKind::constant_power || kind == SourceKind::temperature || kind == SourceKind::table;
}

bool can_dry(const Case& c) {
  const ContactKind contact = c.electrode.contact;
  return c.physics.boil_off && (contact == ContactKind::spots || contact == ContactKind::gap);
}

}  // namespace

std::vector<std::string> unbounded_source_warnings(const Case& c) {
  std::vector<std::string> warnings;
  if (!can_dry(c)) return warnings;
  for (const Mode& mode : c.modes) {
    const Source& source = mode.source;
    if (!holds_power(source.kind) || source.peak_limit > 0 || !source.flat.empty()) continue;
    warnings.push_back(fmt::format(
        "mode {}: a source of kind {} has no highest voltage, so that it rises without end once the contact dries; "
        "mode.{}.source.peak_limit_V sets one",
        mode.name, word_of(source.kind), mode.name));
  }
  return warnings;
}

}  // namespace dryfront
