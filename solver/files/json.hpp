// JSON as the program writes it.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace dryfront {

// null for what did not happen or is no finite number: JSON knows neither NaN nor infinity.
nlohmann::ordered_json number_or_null(double value);

// One line, UTF-8; bytes that are none are replaced.
std::string json_text(const nlohmann::ordered_json& object);

}  // namespace dryfront
