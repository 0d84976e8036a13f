// Tables of two numbers per line: sampled waveforms and source characteristics.
#pragma once

#include <filesystem>
#include <vector>

namespace dryfront {

struct TwoColumns {
  std::vector<double> first, second;
  std::vector<int> line;  // line of each pair in the file, from 1
};

// Reads two numbers per line, separated by a comma, a semicolon, blanks or a tab. Empty lines and everything from # on
// are skipped; one heading line before the first numbers is allowed. Decimal point, no thousands separators.
// Throws CaseError with file:line:column for anything else, for a number that is not finite and for fewer than two
// pairs; FileError when the file cannot be read.
TwoColumns read_two_columns(const std::filesystem::path& file);

}  // namespace dryfront
