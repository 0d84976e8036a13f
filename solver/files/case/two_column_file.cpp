#include "files/case/two_column_file.hpp"

#include <cerrno>
#include <charconv>
#include <cmath>
#include <fstream>
#include <optional>
#include <string>
#include <string_view>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"

namespace dryfront {

namespace {

struct Word {
  std::string_view text;
  std::size_t column;  // from 1
};

std::vector<Word> words_of(std::string_view line) {
  constexpr std::string_view separators = " \t\r,;";
  std::vector<Word> words;
  std::size_t begin = line.find_first_not_of(separators);
  while (begin != std::string_view::npos) {
    const std::size_t end = std::min(line.find_first_of(separators, begin), line.size());
    words.push_back({line.substr(begin, end - begin), begin + 1});
    begin = line.find_first_not_of(separators, end);
  }
  return words;
}

std::optional<double> number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace

TwoColumns read_two_columns(const std::filesystem::path& file) {
  std::ifstream stream(file);
  if (!stream) throw system_error(file.string(), "cannot read", errno);
  TwoColumns columns;
  bool heading = false;
  int line_number = 0;
  std::string line;
  while (std::getline(stream, line)) {
    ++line_number;
    const std::string_view text = std::string_view(line).substr(0, line.find('#'));
    const std::vector<Word> words = words_of(text);
    if (words.empty()) continue;
    const auto refuse = [&](const Word& word, const std::string& what) {
      throw CaseError({file.string() + ":" + std::to_string(line_number) + ":" + std::to_string(word.column), what,
                       line, "two finite numbers per line, e.g. 0.5, 1.25; # begins a remark", ""});
    };
    const bool starts_with_number = number(words[0].text).has_value();
    if (!starts_with_number && columns.first.empty() && !heading) {
      heading = true;
      continue;
    }
    if (words.size() != 2) refuse(words.back(), std::to_string(words.size()) + " columns where there have to be two");
    double pair[2] = {0, 0};
    for (std::size_t k = 0; k < 2; ++k) {
      const std::optional<double> value = number(words[k].text);
      if (!value) refuse(words[k], std::string(words[k].text) + " is not a number");
      if (!std::isfinite(*value)) refuse(words[k], std::string(words[k].text) + " is not finite");
      pair[k] = *value;
    }
    columns.first.push_back(pair[0]);
    columns.second.push_back(pair[1]);
    columns.line.push_back(line_number);
  }
  if (stream.bad()) throw system_error(file.string(), "cannot read", errno);
  if (columns.first.size() < 2) {
    throw CaseError({file.string(), "a table needs two lines of numbers at least",
                     std::to_string(columns.first.size()) + " lines of numbers", "two finite numbers per line", ""});
  }
  return columns;
}

}  // namespace dryfront
