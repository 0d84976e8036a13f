// An attribution as text for a terminal, as JSON and as CSV.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "studies/attribution/quantities.hpp"

namespace dryfront {

// What belongs to the whole attribution.
struct AttributionFacts {
  std::string version;     // of the program
  std::string case_path;   // as the user gave it
  std::string resolution;  // how finely it was computed, in words
  std::string basis;       // on which basis the modes stand, in words
  std::size_t cells = 0;
  double wall_s = 0;
};

std::string attribution_text(const Attribution& attribution, const AttributionFacts& facts);
nlohmann::ordered_json attribution_json(const Attribution& attribution, const AttributionFacts& facts);
// A row per quantity and player, with the interactions in the last columns.
std::string attribution_csv(const Attribution& attribution);

}  // namespace dryfront
