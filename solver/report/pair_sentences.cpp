#include "report/pair_sentences.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "files/shown_numbers.hpp"

namespace dryfront {
namespace {

std::string quoted(const ModeRecord& record) {
  return fmt::format("\u201c{}\u201d", record.label.empty() ? record.name : record.label);
}

std::string plain_words(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

}  // namespace

std::string pair_sentence(const Grid& grid, const ModeRecord& first, const ModeRecord& second, std::size_t effect) {
  const std::string reached = plain_words(first.effects.at(effect).name);
  const auto depth = [effect](const ModeRecord& record) { return record.effects.at(effect).depth; };
  const auto text = [&](const ModeRecord& record) {
    return shown_length(depth(record), cell_at_depth(grid, depth(record)));
  };
  if (&first == &second) {
    if (depth(first) == 0) return fmt::format("{} did not reach {}.", quoted(first), reached);
    return fmt::format("{} reached {} to {}.", quoted(first), reached, text(first));
  }
  const bool in_order = depth(first) >= depth(second);
  const ModeRecord &deeper = in_order ? first : second, &other = in_order ? second : first;
  if (depth(deeper) == 0) return fmt::format("Neither mode reached {}.", reached);
  const double cell = cell_at_depth(grid, depth(deeper)), more = depth(deeper) - depth(other);
  if (more < cell) {
    return fmt::format(
        "No difference that counts: {} to {} with {} and {} with {}, closer together than the {} cells "
        "there.",
        reached, text(deeper), quoted(deeper), text(other), quoted(other), shown(Quantity::cell, 1e3 * cell));
  }
  const std::string by =
      depth(other) == 0 ? "" : fmt::format(", {} times as deep", shown(Quantity::ratio, depth(deeper) / depth(other)));
  return fmt::format("{} reached deeper: {} to {} against {} for {} ({} more{}).", quoted(deeper), reached,
                     text(deeper), text(other), quoted(other), shown_length(more, cell), by);
}

nlohmann::ordered_json pair_sentences_json(const Case& c, const Grid& grid, std::span<const ModeRecord> records) {
  auto all = nlohmann::ordered_json::array();
  for (std::size_t effect = 0; effect < c.effects.size(); ++effect) {
    for (const ModeRecord& first : records) {
      for (const ModeRecord& second : records) {
        all.push_back({{"first", first.name},
                       {"second", second.name},
                       {"effect", c.effects[effect].name},
                       {"sentence", pair_sentence(grid, first, second, effect)}});
      }
    }
  }
  return all;
}

}  // namespace dryfront
