#include "files/model_range.hpp"

#include <fmt/format.h>

#include "files/shown_numbers.hpp"
#include "physics/tissue.hpp"

namespace dryfront {

std::string model_range_sentence(const ModeRecord& record) {
  if (!record.past_range.happened()) return "";
  constexpr double mm = 1e-3;
  std::string depths;
  for (const EffectRecord& effect : record.effects) {
    if (effect.past_range) depths += (depths.empty() ? "" : ", ") + effect.name;
  }
  return fmt::format(
      "\"{}\" passed {:g} \u00b0C, up to which the model knows tissue, at {} ({:.2f} mm from the middle, {:.2f} mm "
      "deep) "
      "and reached {}: {}.",
      record.label.empty() ? record.name : record.label, hottest_known, shown(Quantity::time, record.past_range.time),
      record.past_range.r / mm, record.past_range.z / mm, shown(Quantity::temperature, record.peak_temperature),
      depths.empty() ? "none of its depths changed after that"
                     : fmt::format("its depths marked {} rest on that ({})", past_range_mark, depths));
}

}  // namespace dryfront
