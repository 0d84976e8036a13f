#include "files/measured/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

#include "files/case/case_problems.hpp"
#include "files/file_text.hpp"
#include "files/measured/csv_text.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

// Columns with a name of their own, besides those of the measured numbers.
struct PlainColumn {
  const char* name;
  bool needed;
  const char* meaning;
};
constexpr std::array<PlainColumn, 9> plain_columns{{
    {"mode", true, "which mode of the case was used: its name or its label"},
    {"specimen", true, "a number or a name; one specimen may have several rows"},
    {"effect", false, "which effect the depth and the half-width are of; coagulation where it is empty"},
    {"activation_s", false, "how long the current was on; that of the case where it is empty"},
    {"setting_W", false, "the setting of the source; that of the case where it is empty"},
    {"held_out", false, "yes: the row is not fitted but predicted, and held against the prediction"},
    {"part", false, "of an outline as the page saves it; not used"},
    {"r_mm", false, "of an outline as the page saves it; not used"},
    {"z_mm", false, "of an outline as the page saves it; not used"},
}};

std::vector<std::string> column_names() {
  std::vector<std::string> names;
  for (const PlainColumn& column : plain_columns) names.emplace_back(column.name);
  for (const MeasuredColumns& columns : measured_columns) {
    names.emplace_back(columns.value);
    names.emplace_back(columns.spread);
  }
  return names;
}

class SectionsReader {
 public:
  SectionsReader(std::string file, const Case& c, std::size_t principal, const UsualSpreads& usual, SectionsUse use)
      : file_(std::move(file)), case_(c), principal_(principal), usual_(usual), use_(use), problems_(file_) {}

  MeasuredSections read(const std::string& text) {
    table_ = parse_csv(text, file_);
    if (table_.rows.size() < 2) {
      throw CaseError({file_ + ":1:1", "nothing to read", "", "a header and at least one row below it", ""});
    }
    read_header();
    problems_.raise();
    for (std::size_t k = 1; k < table_.rows.size(); ++k) read_row(table_.rows[k]);
    problems_.raise();
    if (sections_.rows.empty()) {
      throw CaseError(
          {file_ + ":1:1", "no row holds a measured number", "", "depth_mm, half_width_mm or dry_out_s", ""});
    }
    return std::move(sections_);
  }

 private:
  std::string place(const CsvCell& cell) const {
    return file_ + ":" + std::to_string(cell.line) + ":" + std::to_string(cell.column);
  }
  void refuse(const CsvCell& cell, const std::string& what, const std::string& allowed,
              const std::string& nearest = "") {
    CaseProblem problem{place(cell), what, cell.text, allowed, nearest};
    problem.line = cell.line;
    problem.column = cell.column;
    problems_.add(problem);
  }

  void read_header() {
    const std::vector<std::string> known = column_names();
    for (const CsvCell& cell : table_.rows.front()) {
      const bool plain = std::find(known.begin(), known.end(), cell.text) != known.end();
      if (!plain && cell.text.find('.') == std::string::npos) {
        refuse(cell, "no such column", joined(known) + ", or a key of the case by its path, as electrode.radius_mm",
               nearest_name(cell.text, known));
      }
      if (std::count(header_.begin(), header_.end(), cell.text) > 0) refuse(cell, "a column twice", "each once");
      header_.push_back(cell.text);
    }
    for (const PlainColumn& column : plain_columns) {
      if (column.needed && std::find(header_.begin(), header_.end(), column.name) == header_.end()) {
        refuse(table_.rows.front().front(), "the column " + std::string(column.name) + " is missing", joined(known));
      }
    }
  }

  // The cell of a column; null where the table has none.
  const CsvCell* cell_of(const std::vector<CsvCell>& row, const std::string& column) const {
    const auto found = std::find(header_.begin(), header_.end(), column);
    return found == header_.end() ? nullptr : &row[static_cast<std::size_t>(found - header_.begin())];
  }
  const CsvCell* filled(const std::vector<CsvCell>& row, const std::string& column) const {
    const CsvCell* cell = cell_of(row, column);
    return cell == nullptr || cell->text.empty() ? nullptr : cell;
  }

  std::optional<double> number(const CsvCell& cell, double least, double most, const std::string& words) {
    std::string text = cell.text;
    if (table_.separator != ',') std::replace(text.begin(), text.end(), ',', '.');
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool whole = error == std::errc() && end == text.data() + text.size() && std::isfinite(value);
    if (!whole) refuse(cell, words + " is no number", "a number without its unit, with a decimal point");
    if (whole && (value < least || value > most))
      refuse(cell, words + " cannot be", fmt::format("a number from {:g} to {:g}", least, most));
    return whole && value >= least && value <= most ? std::optional(value) : std::nullopt;
  }

  template <class Entries, class Label>
  std::size_t entry(const CsvCell& cell, const Entries& entries, const std::string& words, const Label& label) {
    std::vector<std::string> names;
    for (std::size_t k = 0; k < entries.size(); ++k) {
      if (cell.text == entries[k].name || cell.text == label(entries[k])) return k;
      names.push_back(entries[k].name);
    }
    refuse(cell, "no such " + words + " in the case", joined(names), nearest_name(cell.text, names));
    return 0;
  }

  void read_row(const std::vector<CsvCell>& cells) {
    if (filled(cells, "r_mm") != nullptr || filled(cells, "z_mm") != nullptr) {
      ++sections_.outline_points;
      return;
    }
    MeasuredRow row;
    row.place = place(cells.front());
    row.specimen = cell_of(cells, "specimen")->text;
    if (row.specimen.empty() && use_ == SectionsUse::measured) {
      refuse(*cell_of(cells, "specimen"), "the specimen is empty", "a number or a name");
    }
    row.mode = entry(*cell_of(cells, "mode"), case_.modes, "mode", [](const Mode& mode) { return label_of(mode); });
    const CsvCell* effect = filled(cells, "effect");
    row.effect = effect == nullptr ? principal_
                                   : entry(*effect, case_.effects, "effect", [](const Effect& of) { return of.name; });
    read_overrides(cells, row);
    if (const CsvCell* held = filled(cells, "held_out")) {
      row.held_out = held->text == "yes";
      if (held->text != "yes" && held->text != "no") refuse(*held, "held_out is neither", "yes, no");
    }
    for (std::size_t k = 0; k < measured_columns.size(); ++k) read_value(cells, k, row);
    if (row.values.empty() && use_ == SectionsUse::measured) {
      refuse(cells.front(), "the row holds no measured number", "depth_mm, half_width_mm or dry_out_s");
    }
    sections_.rows.push_back(std::move(row));
  }

  void read_overrides(const std::vector<CsvCell>& cells, MeasuredRow& row) {
    const std::string mode = "mode." + std::to_string(row.mode);
    for (std::size_t k = 0; k < header_.size(); ++k) {
      const std::string& name = header_[k];
      const bool path = name.find('.') != std::string::npos;
      if ((!path && name != "activation_s" && name != "setting_W") || cells[k].text.empty()) continue;
      std::string text = cells[k].text;
      if (!path) {
        constexpr double greatest = 1e6;
        if (!number(cells[k], 0, greatest, name)) continue;
        std::replace(text.begin(), text.end(), ',', '.');
      }
      const std::string key = path ? name : mode + (name == "setting_W" ? ".source.setting_W" : ".activation_s");
      row.overrides.push_back(fmt::format("{}={}", key, text));
      row.set.push_back(fmt::format("{} = {}", name, text));
    }
  }

  void read_value(const std::vector<CsvCell>& cells, std::size_t kind, MeasuredRow& row) {
    const MeasuredColumns& columns = measured_columns[kind];
    const CsvCell* cell = filled(cells, columns.value);
    const CsvCell* spread = filled(cells, columns.spread);
    if (cell == nullptr) {
      if (spread != nullptr && use_ == SectionsUse::measured) {
        refuse(*spread, "a spread without its " + std::string(columns.words),
               std::string(columns.value) + " beside it");
      }
      return;
    }
    constexpr double longest_s = 3600;
    const double most = columns.kind == MeasuredKind::depth        ? case_.specimen.depth / mm
                        : columns.kind == MeasuredKind::half_width ? case_.specimen.radius / mm
                                                                   : longest_s;
    MeasuredValue value{columns.kind, 0, 0, false, place(*cell)};
    if (columns.kind == MeasuredKind::dry_out && cell->text == "none") {
      value.none = true;
    } else if (const auto read = number(*cell, columns.least, most, std::string("the ") + columns.words)) {
      value.value = *read;
    }
    constexpr double least_spread = 1e-6;
    if (spread != nullptr) {
      value.spread = number(*spread, least_spread, most, std::string("the spread of the ") + columns.words).value_or(1);
    } else if (usual_[kind]) {
      value.spread = *usual_[kind];
    } else {
      refuse(*cell, "the " + std::string(columns.words) + " has no spread",
             "one standard deviation [" + std::string(columns.unit) + "] in the column " + columns.spread);
    }
    const std::string key = std::string(columns.value) + "\n" + row.specimen + "\n" + std::to_string(row.mode) + "\n" +
                            std::to_string(row.effect) + "\n" + joined(row.overrides);
    if (!known_.insert(key).second) refuse(*cell, "given twice for this specimen and set-up", "once");
    row.values.push_back(value);
  }

  std::string file_;
  const Case& case_;
  std::size_t principal_;
  const UsualSpreads& usual_;
  SectionsUse use_;
  CaseProblems problems_;
  CsvTable table_;
  std::vector<std::string> header_;
  std::set<std::string> known_;  // which number of which specimen was given
  MeasuredSections sections_;
};

}  // namespace

MeasuredSections parse_sections(const std::string& text, const std::string& name_for_messages, const Case& c,
                                std::size_t principal, const UsualSpreads& usual, SectionsUse use) {
  return SectionsReader(name_for_messages, c, principal, usual, use).read(text);
}

MeasuredSections read_sections(const std::filesystem::path& file, const Case& c, std::size_t principal,
                               const UsualSpreads& usual, SectionsUse use) {
  return parse_sections(file_text(file), file.string(), c, principal, usual, use);
}

std::string sections_template() {
  std::string text =
      "# Measured sections for dryfront fit: one row for each specimen and set-up, a cell empty where "
      "nothing was measured.\n# Teaching and research only. The numbers below are invented: put yours in "
      "their place.\n#\n";
  for (const PlainColumn& column : plain_columns) {
    if (std::string(column.meaning).ends_with("not used")) continue;
    text += "# " + std::string(column.name) + ": " + column.meaning + "\n";
  }
  for (const MeasuredColumns& columns : measured_columns) {
    text += "# " + std::string(columns.value) + ", " + columns.spread + ": the " + columns.words + " [" + columns.unit +
            "], and one standard deviation of what repeating it on like specimens gives\n";
  }
  return text +
         "# dry_out_s may be none: the contact did not dry out while the current was on.\n"
         "# Any key of the case may be a column under its path, for instance electrode.radius_mm.\n"
         "mode,specimen,effect,activation_s,setting_W,depth_mm,depth_spread_mm,half_width_mm,half_width_spread_mm,"
         "dry_out_s,dry_out_spread_s,held_out\n"
         "low_voltage,1,coagulation,10,60,2.5,0.2,6.4,0.3,,,no\n"
         "low_voltage,2,coagulation,5,60,1.9,0.2,6.2,0.3,,,no\n"
         "gated_6_percent,3,coagulation,10,60,1.6,0.2,6.1,0.3,,,yes\n";
}

}  // namespace dryfront
