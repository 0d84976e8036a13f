// What every output of the program says of itself.
#pragma once

namespace dryfront {

inline constexpr const char* caution =
    "For teaching and research only; not for choosing settings on a patient. Local codes and licensed practice come "
    "first.";

// Of a range of depths.
inline constexpr const char* range_caution = "The range is that of the model over what it assumes, not that of tissue.";

}  // namespace dryfront
