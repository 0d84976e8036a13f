// What the table of a sweep says, design by design.
#pragma once

#include <filesystem>
#include <string>

#include <nlohmann/json.hpp>

#include "files/plan/plan_file.hpp"
#include "studies/sweep/merge.hpp"

namespace dryfront {

// One object per design and output:
//   saltelli        Sobol indices (first order, total) with their ranges, and quantiles over the base points
//   one_at_a_time   tornado table: the output with each axis at its ends, the widest first
//   grid            maps over two axes, one per combination of the others, with the line where the output has its level:
//                   1 for a ratio of depths, 0 for a difference of depths
//   all drawn ones  quantiles, and for ratios the share of points above 1
nlohmann::ordered_json analysis_json(const Plan& plan, const CollectedColumns& columns);

// Writes analysis.json and, as CSV, sobol_indices.csv, tornado.csv, quantiles.csv, map.csv and level_line.csv, those of
// them that have rows. Throws FileError.
void write_analysis(const std::filesystem::path& folder, const nlohmann::ordered_json& analysis);

// The same as text for a terminal: the indices, the tornado and the quantiles.
std::string analysis_text(const nlohmann::ordered_json& analysis);

}  // namespace dryfront
