// What a sweep says, for a terminal.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace dryfront {

// Of analysis_json: the indices, the tornado and the quantiles.
std::string analysis_text(const nlohmann::ordered_json& analysis);

}  // namespace dryfront
