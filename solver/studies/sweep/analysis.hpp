// What the table of a sweep says, design by design.
#pragma once

#include <filesystem>
#include <string_view>

#include <nlohmann/json.hpp>

#include "files/plan/plan_file.hpp"
#include "studies/sweep/merge.hpp"

namespace dryfront {

// One object per design and output:
//   saltelli        Sobol indices (first order, total) with their ranges, and quantiles over the base points
//   one_at_a_time   tornado table: the output with each axis at its ends, the widest first
//   grid            maps over two axes, one per combination of the others, with the line where the output has its
//   level:
//                   1 for a ratio of depths, 0 for a difference of depths
//   all drawn ones  quantiles, and for ratios the share of points above 1
nlohmann::ordered_json analysis_json(const Plan& plan, const CollectedColumns& columns);

// Writes analysis.json and, as CSV, sobol_indices.csv, tornado.csv, quantiles.csv, map.csv and level_line.csv, those of
// them that have rows. Throws FileError.
void write_analysis(const std::filesystem::path& folder, const nlohmann::ordered_json& analysis);

// A number of the object: null is not a number, "inf" and "-inf" are infinite. A ratio is infinite where the second
// mode has no depth, and that is not the same as no result.
double number_of(const nlohmann::ordered_json& value);
std::string_view text_of(const nlohmann::ordered_json& value);

}  // namespace dryfront
