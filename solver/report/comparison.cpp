#include "report/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <vector>

#include "files/caution.hpp"
#include "files/model_range.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;
constexpr std::size_t gap = 2;  // characters between columns

struct Row {
  std::string label;
  std::function<std::string(const ModeRecord&, const Mode&)> cell;
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

std::string time_or_never(double time) { return std::isnan(time) ? "never" : fmt::format("{:.2f} s", time); }

std::size_t principal_effect(const Case& c) {
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    if (c.effects[k].name == "coagulation") return k;
  }
  return 0;
}

std::vector<Row> rows(const Case& c, const IntervalAnswer& interval) {
  using Record = ModeRecord;
  std::vector<Row> all;
  all.push_back({"waveform", [](const Record&, const Mode& d) { return std::string(word_of(d.waveform.kind)); }});
  all.push_back({"crest factor", [](const Record& r, const Mode&) { return fmt::format("{:.2f}", r.crest_factor); }});
  all.push_back({"source", [](const Record&, const Mode& d) {
                   if (d.source.kind == SourceKind::voltage) return fmt::format("{:g} V rms", d.source.rms);
                   if (d.source.kind == SourceKind::temperature) {
                     return fmt::format("holds {:g} C, up to {:g} W", d.source.hold, d.source.setting);
                   }
                   return fmt::format("setting {:g} W", d.source.setting);
                 }});
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    all.push_back({"greatest depth, " + c.effects[k].name, [k](const Record& r, const Mode&) {
                     const EffectRecord& effect = r.effects[k];
                     return (effect.depth > 0 ? fmt::format("{:.2f} mm", effect.depth / mm) : "none") +
                            (effect.past_range ? past_range_mark : "");
                   }});
  }
  if (!c.effects.empty()) {
    const std::size_t k = principal_effect(c);
    if (interval.interval) {
      all.push_back({fmt::format("{:.0f} % range, {}", 100 * interval_share, c.effects[k].name),
                     [&interval](const Record&, const Mode& d) {
                       const IntervalQuantity* depth = interval_of(interval, d.name);
                       return depth == nullptr ? "none" : range_text(*depth) + " mm";
                     }});
    }
    all.push_back({"half-width, " + c.effects[k].name, [k](const Record& r, const Mode&) {
                     return fmt::format("{:.2f} mm", r.effects[k].half_width / mm);
                   }});
    all.push_back({"volume, " + c.effects[k].name, [k](const Record& r, const Mode&) {
                     return fmt::format("{:.1f} mm3", r.effects[k].volume / (mm * mm * mm));
                   }});
  }
  const auto ohm = [](double value) { return fmt::format("{:.0f} ohm", value); };
  const auto joule = [](double value) { return fmt::format("{:.1f} J", value); };
  all.push_back({"load at the start", [ohm](const Record& r, const Mode&) { return ohm(r.resistance_start); }});
  all.push_back({"least load", [ohm](const Record& r, const Mode&) { return ohm(r.resistance_least); }});
  all.push_back({"load at the end", [ohm](const Record& r, const Mode&) { return ohm(r.resistance_end); }});
  all.push_back({"energy delivered", [joule](const Record& r, const Mode&) { return joule(r.delivered); }});
  all.push_back({"of it into the surface", [joule](const Record& r, const Mode&) { return joule(r.surface); }});
  all.push_back({"arcing from", [](const Record& r, const Mode&) { return time_or_never(r.arcing); }});
  all.push_back({"dry-out at", [](const Record& r, const Mode&) { return time_or_never(r.dry_out); }});
  all.push_back({"greatest temperature",
                 [](const Record& r, const Mode&) { return fmt::format("{:.0f} C", r.peak_temperature); }});
  return all;
}

// Height of the cell that holds a depth [m].
double resolution_at(const Grid& grid, double depth) {
  const auto& faces = grid.z_face();
  const auto below = std::upper_bound(faces.begin() + 1, faces.end() - 1, depth);
  return *below - *(below - 1);
}

std::string depth_text(double depth) { return fmt::format("{:.2f} mm", depth / mm); }

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
  if (records.size() == 1) {
    return depth(0) > 0 ? fmt::format("{}: {} of {}; one mode, nothing to compare it with.", records[0].name,
                                      depth_text(depth(0)), name)
                        : fmt::format("{}: no {}; one mode, nothing to compare it with.", records[0].name, name);
  }
  std::vector<std::size_t> order(records.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return depth(a) > depth(b); });
  const double greatest = depth(order[0]);
  if (greatest == 0) return fmt::format("No mode reached any depth of {}.", name);

  // The modes the grid cannot tell from the deepest.
  const double resolution = resolution_at(grid, greatest);
  std::size_t leaders = 1;
  while (leaders < order.size() && greatest - depth(order[leaders]) < resolution) ++leaders;
  std::vector<std::string> named;
  for (std::size_t k = 0; k < leaders; ++k) {
    named.push_back(fmt::format("{} ({})", records[order[k]].name, depth_text(depth(order[k]))));
  }
  if (leaders == order.size()) {
    return fmt::format("No winner with {}: {} differ by {:.3f} mm, less than the {:.3f} mm cells of the grid there.",
                       name, enumerated(named), (greatest - depth(order.back())) / mm, resolution / mm);
  }
  const double least_ahead = depth(order[leaders - 1]);
  const auto lead = [&](std::size_t other) {
    if (depth(other) == 0) return fmt::format("{}, which reached none", records[other].name);
    return fmt::format("{} ({}), by {:.2f} mm or {:.0f} %", records[other].name, depth_text(depth(other)),
                       (least_ahead - depth(other)) / mm, 100 * (least_ahead / depth(other) - 1));
  };
  const std::size_t next = order[leaders], shallowest = order.back();
  std::string sentence = enumerated(named);
  if (leaders > 1) sentence += fmt::format(", alike within the {:.2f} mm cells of the grid there,", resolution / mm);
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
    columns.push_back({records[k].name, {}});
    for (const Row& row : table) columns.back().cells.push_back(row.cell(records[k], c.modes[k]));
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
