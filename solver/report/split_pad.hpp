// What the contact monitor of a split return electrode reads, as text and as JSON.
#pragma once

#include <string>
#include <vector>

#include "files/json.hpp"
#include "physics/split_pad.hpp"

namespace dryfront {

std::string split_pad_text(const std::string& title, const SplitPad& pad, const PadReadings& readings);
nlohmann::ordered_json split_pad_json(const std::string& title, const SplitPad& pad, const PadReadings& readings,
                                      const std::string& version, const std::string& case_path);

}  // namespace dryfront
