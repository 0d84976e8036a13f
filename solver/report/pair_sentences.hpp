// Two modes of a run in a sentence: what figures, page and handout say of the pair they show.
#pragma once

#include <nlohmann/json.hpp>
#include <span>
#include <string>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// Which of two modes reached deeper with an effect and by how much, or that the grid cannot tell: a difference smaller
// than the cell in which the deeper front stands does not count.
std::string pair_sentence(const Grid& grid, const ModeRecord& first, const ModeRecord& second, std::size_t effect);

// The sentences of every pair, either way round, and of every mode alone (with itself), for every effect:
// [{"first", "second", "effect", "sentence"}].
nlohmann::ordered_json pair_sentences_json(const Case& c, const Grid& grid, std::span<const ModeRecord> records);

}  // namespace dryfront
