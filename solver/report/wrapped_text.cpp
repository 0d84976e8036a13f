#include "report/wrapped_text.hpp"

#include <algorithm>
#include <sstream>

namespace dryfront {
namespace {

// Whether a byte goes on with a character that began before it.
bool continues(char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U; }

}  // namespace

std::size_t length_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) { return !continues(c); }));
}

std::string cut_to(std::string_view text, std::size_t most) {
  std::string out;
  for (const char c : text) out += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
  if (length_of(out) <= most) return out;
  while (length_of(out) > most - 2) {
    while (continues(out.back())) out.pop_back();
    out.pop_back();
  }
  return out + "..";
}

std::string padded(const std::string& text, std::size_t width, bool to_the_right) {
  const std::string blanks(width - std::min(width, length_of(text)), ' ');
  return to_the_right ? blanks + text : text + blanks;
}

std::string wrapped(const std::string& text, const std::string& before) {
  const std::size_t indent = length_of(before);
  std::string out, line = before;
  std::istringstream words(text);
  bool begun = false;  // the line has a word
  for (std::string next; words >> next;) {
    next = cut_to(next, text_width - indent);
    if (begun && length_of(line) + 1 + length_of(next) > text_width) {
      out += line + '\n';
      line = std::string(indent, ' ');
      begun = false;
    }
    line += (begun ? " " : "") + next;
    begun = true;
  }
  return out + line + '\n';
}

}  // namespace dryfront
