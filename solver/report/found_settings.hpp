// Settings or activations found for the modes of a case, as text and as JSON.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "simulation/case.hpp"
#include "studies/search/finder.hpp"

namespace dryfront {

// What was found for one mode, or why nothing was.
struct FoundForMode {
  std::string key;  // of what was changed: "setting_W", "rms_V", "activation_s"
  std::optional<Found> found;
  std::string reason;
};

struct FoundSettings {
  const Case& of_case;
  bool below_arcing = false;  // the largest setting that does not strike; otherwise the smallest that reaches a depth
  std::string sought;         // in words
  std::vector<FoundForMode> modes;  // one for each of the case
  std::string resolution;           // in words
};

// Why no mode has an answer, a line for each; empty when one has.
std::string nothing_found_text(const FoundSettings& settings);
std::string found_settings_text(const FoundSettings& settings);
// `version` of the program, `case_path` as the user gave it.
nlohmann::ordered_json found_settings_json(const FoundSettings& settings, const std::string& version,
                                           const std::string& case_path);

}  // namespace dryfront
