#include "report/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>
#include <numeric>
#include <vector>

#include "files/caution.hpp"
#include "files/model_range.hpp"
#include "files/shown_numbers.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;
constexpr std::size_t gap = 2;  // characters between columns

using Shown = std::map<std::string, std::string>;  // of one mode, see shown_summary()

struct Row {
  std::string label;
  std::function<std::string(const Shown&, const ModeRecord&, const Mode&)> cell;
};

// A column of the table: the name above, the cells below.
struct Column {
  std::string name;
  std::vector<std::string> cells;
  std::size_t width = 0;

  void fit(std::size_t most) {
    width = length_of(name);
    for (const std::string& cell : cells) width = std::max(width, length_of(cell));
    width = std::min(width, most);
  }
  std::string line(std::size_t k, bool to_the_right) const {
    return padded(cut_to(k == 0 ? name : cells[k - 1], width), width, to_the_right);
  }
};

std::size_t principal_effect(const Case& c) {
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    if (c.effects[k].name == "coagulation") return k;
  }
  return 0;
}

Row shown_row(const std::string& label, const std::string& number) {
  return {label, [number](const Shown& shown, const ModeRecord&, const Mode&) { return shown.at(number); }};
}

std::vector<Row> rows(const Case& c, const IntervalAnswer& interval) {
  using Record = ModeRecord;
  std::vector<Row> all;
  all.push_back(
      {"waveform", [](const Shown&, const Record&, const Mode& d) { return std::string(word_of(d.waveform.kind)); }});
  all.push_back(shown_row("crest factor", "crest_factor"));
  all.push_back({"source", [](const Shown&, const Record&, const Mode& d) {
                   if (d.source.kind == SourceKind::voltage) return fmt::format("{:g} V rms", d.source.rms);
                   if (d.source.kind == SourceKind::temperature) {
                     return fmt::format("holds {:g} \u00b0C, up to {:g} W", d.source.hold, d.source.setting);
                   }
                   return fmt::format("setting {:g} W", d.source.setting);
                 }});
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    all.push_back({"greatest depth, " + c.effects[k].name, [k](const Shown& shown, const Record& r, const Mode&) {
                     const EffectRecord& effect = r.effects[k];
                     return shown.at("depth_" + effect.name + "_m") + (effect.past_range ? past_range_mark : "");
                   }});
  }
  if (!c.effects.empty()) {
    const std::string& name = c.effects[principal_effect(c)].name;
    if (interval.interval) {
      all.push_back({fmt::format("{:.0f} % range, {}", 100 * interval_share, name),
                     [&interval](const Shown&, const Record&, const Mode& d) {
                       const IntervalQuantity* depth = interval_of(interval, d.name);
                       return depth == nullptr ? "none" : range_text(*depth) + " mm";
                     }});
    }
    all.push_back(shown_row("half-width, " + name, "half_width_" + name + "_m"));
    all.push_back(shown_row("volume, " + name, "volume_" + name + "_m3"));
  }
  all.push_back(shown_row("load at the start", "resistance_start_ohm"));
  all.push_back(shown_row("least load", "resistance_least_ohm"));
  all.push_back(shown_row("load at the end", "resistance_end_ohm"));
  all.push_back(shown_row("energy delivered", "delivered_J"));
  all.push_back(shown_row("of it into the surface", "surface_J"));
  all.push_back(shown_row("arcing from", "arcing_s"));
  all.push_back(shown_row("dry-out at", "dry_out_s"));
  all.push_back(shown_row("greatest temperature", "peak_C"));
  return all;
}

std::string enumerated(const std::vector<std::string>& names) {
  std::string text = names.front();
  for (std::size_t k = 1; k < names.size(); ++k) {
    text += k + 1 == names.size() ? " and " : ", ";
    text += names[k];
  }
  return text;
}

// Which basis the case asks for: a run computes the modes as they stand.
std::string basis_remark(const Case& c) {
  if (c.comparison.basis == Basis::as_given || c.modes.size() < 2) return "";
  const std::string_view chosen = word_of(c.comparison.basis);
  return fmt::format(
      "The modes stand as they are given. The case compares them on the basis {}: dryfront why and dryfront compare "
      "do so.",
      chosen);
}

}  // namespace

std::string verdict(const Case& c, const Grid& grid, std::span<const ModeRecord> records) {
  for (const ModeRecord& record : records) {
    if (!record.completed) return fmt::format("No comparison: {} did not complete.", record.name);
  }
  if (records.empty() || c.effects.empty()) return "Nothing to compare.";
  const std::size_t effect = principal_effect(c);
  const std::string& name = c.effects[effect].name;
  const auto depth = [&](std::size_t k) { return records[k].effects[effect].depth; };
  const auto depth_text = [&](std::size_t k) { return shown_length(depth(k), cell_at_depth(grid, depth(k))); };
  if (records.size() == 1) {
    return depth(0) > 0 ? fmt::format("{}: {} of {}; one mode, nothing to compare it with.", records[0].name,
                                      depth_text(0), name)
                        : fmt::format("{}: no {}; one mode, nothing to compare it with.", records[0].name, name);
  }
  std::vector<std::size_t> order(records.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return depth(a) > depth(b); });
  const double greatest = depth(order[0]);
  if (greatest == 0) return fmt::format("No mode reached any depth of {}.", name);

  // The modes the grid cannot tell from the deepest.
  const double resolution = cell_at_depth(grid, greatest);
  const std::string cells = shown(Quantity::cell, resolution / mm);
  std::size_t leaders = 1;
  while (leaders < order.size() && greatest - depth(order[leaders]) < resolution) ++leaders;
  std::vector<std::string> named;
  for (std::size_t k = 0; k < leaders; ++k) {
    named.push_back(fmt::format("{} ({})", records[order[k]].name, depth_text(order[k])));
  }
  if (leaders == order.size()) {
    return fmt::format("No winner with {}: {} differ by less than the {} cells of the grid there.", name,
                       enumerated(named), cells);
  }
  const double least_ahead = depth(order[leaders - 1]);
  const auto lead = [&](std::size_t other) {
    if (depth(other) == 0) return fmt::format("{}, which reached none", records[other].name);
    return fmt::format("{} ({}), by {} or {}", records[other].name, depth_text(other),
                       shown_length(least_ahead - depth(other), resolution),
                       shown(Quantity::share, 100 * (least_ahead / depth(other) - 1)));
  };
  const std::size_t next = order[leaders], shallowest = order.back();
  std::string sentence = enumerated(named);
  if (leaders > 1) sentence += fmt::format(", alike within the {} cells of the grid there,", cells);
  sentence += fmt::format(" reached deeper with {} than {}", name, lead(next));
  if (depth(next) - depth(shallowest) >= resolution)
    sentence += fmt::format(", and than the shallowest, {}", lead(shallowest));
  return sentence + ".";
}

std::string comparison(const Case& c, const Grid& grid, std::span<const ModeRecord> records,
                       const IntervalAnswer& interval) {
  const auto table = rows(c, interval);
  std::vector<Column> columns;
  columns.push_back({"", {}});
  for (const Row& row : table) columns[0].cells.push_back(row.label);
  for (std::size_t k = 0; k < records.size(); ++k) {
    const Shown shown = shown_summary(grid, records[k]);
    columns.push_back({records[k].name, {}});
    for (const Row& row : table) columns.back().cells.push_back(row.cell(shown, records[k], c.modes[k]));
  }
  for (Column& column : columns) column.fit(text_width / 2 - gap);

  std::string text;
  for (std::size_t first = 1; first < columns.size();) {
    std::size_t end = first, width = columns[0].width;
    while (end < columns.size() && (end == first || width + gap + columns[end].width <= text_width)) {
      width += gap + columns[end++].width;
    }
    for (std::size_t line = 0; line <= table.size(); ++line) {
      text += columns[0].line(line, false);
      for (std::size_t k = first; k < end; ++k) text += std::string(gap, ' ') + columns[k].line(line, true);
      text += '\n';
    }
    text += '\n';
    first = end;
  }
  for (const ModeRecord& record : records) {
    const std::string footnote = model_range_sentence(record);
    if (!footnote.empty()) text += wrapped(footnote, std::string(past_range_mark) + " ") + '\n';
  }
  const std::string basis = basis_remark(c);
  return text + interval_text(interval) + '\n' + wrapped(caution) + (basis.empty() ? "" : wrapped(basis)) +
         wrapped(verdict(c, grid, records));
}

}  // namespace dryfront
