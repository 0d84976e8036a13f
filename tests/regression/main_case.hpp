// The main case on a coarser grid, with a shorter activation, a smaller face and the poorest contact of the assumed
// ranges, so that it dries out, for tests.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "files/case/case_file.hpp"

namespace dryfront {

inline std::filesystem::path source_tree() { return std::filesystem::path(DRYFRONT_SOURCE_DIR); }

inline Case main_case(double activation_s, std::vector<std::string> more = {}) {
  std::vector<std::string> overrides{"mode.*.activation_s=" + std::to_string(activation_s),
                                     "mode.*.after_s=0.5",
                                     "electrode.radius_mm=4",
                                     "electrode.contact_fraction=0.1",
                                     "electrode.spot_pitch_mm=1",
                                     "grid.fine_mm=0.1",
                                     "grid.growth=1.2",
                                     "grid.coarse_mm=3"};
  overrides.insert(overrides.end(), more.begin(), more.end());
  return read_case(source_tree() / "cases" / "main.toml", overrides, source_tree() / "cases" / "tissue");
}

}  // namespace dryfront
