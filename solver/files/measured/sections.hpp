// Measured sections: depths, half-widths and dry-out times of specimens, as a table that a person fills in.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

enum class MeasuredKind { depth, half_width, dry_out };

// The columns of each kind; the table page, template and messages go by.
struct MeasuredColumns {
  MeasuredKind kind;
  const char* value;
  const char* spread;
  const char* unit;
  const char* words;
  double least;  // that can be meant, in the unit
};
inline constexpr std::array<MeasuredColumns, 3> measured_columns{{
    {MeasuredKind::depth, "depth_mm", "depth_spread_mm", "mm", "depth", 0},
    {MeasuredKind::half_width, "half_width_mm", "half_width_spread_mm", "mm", "half-width", 0},
    {MeasuredKind::dry_out, "dry_out_s", "dry_out_spread_s", "s", "dry-out time", 0},
}};

// One number that was read off a specimen, in the unit of its column.
struct MeasuredValue {
  MeasuredKind kind;
  double value = 0;
  double spread = 0;  // one standard deviation of what a repetition on specimens of the same kind would give
  bool none = false;  // dry_out: the contact did not dry out while the current was on
  std::string place;  // file:line:column
};

struct MeasuredRow {
  std::string place;     // file:line:1
  std::string specimen;  // a number or a name
  std::size_t mode = 0, effect = 0;
  std::vector<std::string> overrides;  // of the case, key.path=value
  std::vector<std::string> set;        // the same as a person reads it, "activation_s = 8"
  bool held_out = false;               // not fitted, but predicted
  std::vector<MeasuredValue> values;   // none in a table of what could be measured
};

struct MeasuredSections {
  std::vector<MeasuredRow> rows;
  std::size_t outline_points = 0;  // rows of the page's table that hold points of an outline: not used
};

// What a table holds: measurements, or set-ups that could be measured.
enum class SectionsUse { measured, candidates };

// A spread for each kind, for rows that state none.
using UsualSpreads = std::array<std::optional<double>, measured_columns.size()>;

// Columns mode (name or label), specimen; effect (that of `principal` where it is left out); activation_s and setting_W
// of the row's mode, and any key of a case by its path (electrode.radius_mm), which override the case in that row; the
// columns of the table above; held_out (yes or no); part, r_mm, z_mm as the page saves outlines. Decimal comma where
// fields are separated by semicolons or tabs. Throws CaseError with file, line and column of all that is wrong,
// FileError when the file cannot be read. That keys and activation allow what is set is for the caller to find.
MeasuredSections read_sections(const std::filesystem::path& file, const Case& c, std::size_t principal,
                               const UsualSpreads& usual, SectionsUse use);
MeasuredSections parse_sections(const std::string& text, const std::string& name_for_messages, const Case& c,
                                std::size_t principal, const UsualSpreads& usual, SectionsUse use);

// A table to start from, with what its columns mean.
std::string sections_template();

}  // namespace dryfront
