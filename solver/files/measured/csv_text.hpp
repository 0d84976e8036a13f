// Comma-separated values, read with the place of every cell.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace dryfront {

struct CsvCell {
  std::string text;                  // blanks at both ends cut off
  std::size_t line = 0, column = 0;  // where it begins, from 1
};
struct CsvTable {
  std::vector<std::vector<CsvCell>> rows;  // the first one is the header; lines without content are left out
  char separator = ',';
};

// Quoting as in RFC 4180; fields separated by what the header has: tabs, semicolons or commas. A line that begins with
// # is a remark. Throws CaseError, with `file` in the place, for a quotation mark that nothing closes, and for a row
// with another number of cells than the header.
CsvTable parse_csv(std::string_view text, const std::string& file);

}  // namespace dryfront
