#include "files/measured/csv_text.hpp"

#include <algorithm>

#include "files/case/case_error.hpp"

namespace dryfront {
namespace {

constexpr std::string_view blanks = " \t\r";

std::string without_blanks(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(blanks);
  if (begin == std::string_view::npos) return "";
  return std::string(text.substr(begin, text.find_last_not_of(blanks) - begin + 1));
}

std::string place_of(const std::string& file, std::size_t line, std::size_t column) {
  return file + ":" + std::to_string(line) + ":" + std::to_string(column);
}

// Goes through the text once.
class CsvReader {
 public:
  CsvReader(std::string_view text, const std::string& file) : text_(text), file_(file) {
    if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;  // the mark that some spreadsheets begin with
    begin_ = at_;
  }

  CsvTable read() {
    while (at_ < text_.size()) {
      if (at_line_start() && row_.empty() && text_[at_] == '#') {
        skip_line();
        continue;
      }
      if (table_.rows.empty() && row_.empty() && at_line_start()) find_separator();
      read_cell();
    }
    if (!row_.empty()) end_row();
    return std::move(table_);
  }

 private:
  bool at_line_start() const { return at_ == begin_; }

  void skip_line() {
    const std::size_t end = std::min(text_.find('\n', at_), text_.size());
    at_ = end + 1;
    begin_ = at_;
    ++line_;
  }

  void find_separator() {
    const std::string_view head = text_.substr(at_, text_.find('\n', at_) - at_);
    for (const char candidate : {'\t', ';'}) {
      if (head.find(candidate) == std::string_view::npos) continue;
      table_.separator = candidate;
      return;
    }
  }

  // One cell and what ends it.
  void read_cell() {
    CsvCell cell{"", line_, at_ - begin_ + 1};
    std::string raw;
    bool quoted = false;
    for (; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (quoted) {
        if (c == '"' && at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
          raw += text_[++at_];
        } else if (c == '"') {
          quoted = false;
        } else {
          raw += c;
          if (c == '\n') next_line();
        }
      } else if (c == '"' && without_blanks(raw).empty()) {
        quoted = true;
        raw.clear();
      } else if (c == table_.separator || c == '\n') {
        break;
      } else {
        raw += c;
      }
    }
    if (quoted) {
      throw CaseError({place_of(file_, cell.line, cell.column), "a quotation mark that nothing closes", "", "", ""});
    }
    cell.text = without_blanks(raw);
    row_.push_back(std::move(cell));
    const bool row_ends = at_ >= text_.size() || text_[at_] == '\n';
    if (at_ < text_.size() && text_[at_] == '\n') next_line();
    ++at_;
    if (row_ends) end_row();
  }

  void next_line() {
    ++line_;
    begin_ = at_ + 1;
  }

  void end_row() {
    const auto full = [](const CsvCell& cell) { return !cell.text.empty(); };
    if (std::any_of(row_.begin(), row_.end(), full)) {
      if (!table_.rows.empty() && row_.size() != table_.rows.front().size()) {
        throw CaseError(
            {place_of(file_, row_.front().line, row_.back().column),
             std::to_string(row_.size()) + " fields where the header has " + std::to_string(table_.rows.front().size()),
             "", "as many fields as the header; with a decimal comma, fields separated by semicolons", ""});
      }
      table_.rows.push_back(std::move(row_));
    }
    row_.clear();
  }

  std::string_view text_;
  const std::string& file_;
  std::size_t at_ = 0, begin_ = 0, line_ = 1;  // begin_: of the line
  std::vector<CsvCell> row_;
  CsvTable table_;
};

}  // namespace

CsvTable parse_csv(std::string_view text, const std::string& file) { return CsvReader(text, file).read(); }

}  // namespace dryfront
