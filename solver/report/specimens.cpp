#include "report/specimens.hpp"

#include <algorithm>

#include "files/json.hpp"
#include "files/shown_numbers.hpp"

namespace dryfront {

nlohmann::ordered_json specimens_json(const Case& c, std::span<const NeededSpecimens> needed) {
  using Json = nlohmann::ordered_json;
  constexpr double mm = 1e-3;
  Json pairs = Json::array();
  for (const NeededSpecimens& pair : needed) {
    Json rows = Json::array();
    for (const auto& row : pair.per_mode) {
      Json numbers = Json::array();
      for (const std::optional<int>& number : row) numbers.push_back(number ? Json(*number) : Json());
      rows.push_back(std::move(numbers));
    }
    pairs.push_back({{"effect", pair.effect},
                     {"first", c.modes.at(pair.first).name},
                     {"second", c.modes.at(pair.second).name},
                     {"first_mm", number_or_null(pair.first_depth / mm)},
                     {"second_mm", number_or_null(pair.second_depth / mm)},
                     {"first_shown", shown_length(pair.first_depth, pair.first_cell)},
                     {"second_shown", shown_length(pair.second_depth, pair.second_cell)},
                     {"resolution_mm", number_or_null(std::max(pair.first_cell, pair.second_cell) / mm)},
                     {"differ", pair.differ},
                     {"per_mode", std::move(rows)}});
  }
  return {{"computed", true},           {"alpha", specimens_alpha},
          {"powers", specimens_powers}, {"spreads", specimens_spreads},
          {"most", most_specimens},     {"pairs", std::move(pairs)}};
}

}  // namespace dryfront
