#include "studies/specimens/needed.hpp"

#include <algorithm>
#include <cmath>

#include "files/shown_numbers.hpp"
#include "studies/specimens/t_test.hpp"

namespace dryfront {

namespace {

void count(NeededSpecimens& needed) {
  const double difference = std::abs(needed.first_depth - needed.second_depth);
  const double mean = (needed.first_depth + needed.second_depth) / 2;
  for (const double spread : specimens_spreads) {
    auto& row = needed.per_mode.emplace_back();
    for (std::size_t k = 0; k < specimens_powers.size(); ++k) {
      row[k] = specimens_per_group(difference / (spread * mean), specimens_powers[k], specimens_alpha, most_specimens);
    }
  }
}

}  // namespace

std::vector<NeededSpecimens> needed_specimens(const Case& c, const Grid& grid, std::span<const ModeRecord> records) {
  std::vector<NeededSpecimens> all;
  for (std::size_t e = 0; e < c.effects.size(); ++e) {
    for (std::size_t i = 0; i < records.size(); ++i) {
      for (std::size_t j = i + 1; j < records.size(); ++j) {
        NeededSpecimens needed;
        needed.effect = c.effects[e].name;
        needed.first = i;
        needed.second = j;
        needed.first_depth = records[i].effects.at(e).depth;
        needed.second_depth = records[j].effects.at(e).depth;
        needed.first_cell = cell_at_depth(grid, needed.first_depth);
        needed.second_cell = cell_at_depth(grid, needed.second_depth);
        needed.differ =
            std::abs(needed.first_depth - needed.second_depth) >= std::max(needed.first_cell, needed.second_cell);
        if (needed.differ) count(needed);
        all.push_back(std::move(needed));
      }
    }
  }
  return all;
}

}  // namespace dryfront
