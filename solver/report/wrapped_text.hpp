// Text of a given width. Widths count characters of UTF-8, not bytes; wide characters count as one.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace dryfront {

inline constexpr std::size_t text_width = 100;  // of everything that is printed for a person [characters]

std::size_t length_of(std::string_view text);

// The text without control characters, cut to at most `most` characters, ".." at the cut.
std::string cut_to(std::string_view text, std::size_t most);

// Filled up with blanks to `width`; a longer text stays as it is.
std::string padded(const std::string& text, std::size_t width, bool to_the_right);

// Broken at blanks into lines of at most text_width characters, each ended; a longer word is cut. The first line begins
// with `before` ("- "), the others with as many blanks.
std::string wrapped(const std::string& text, const std::string& before = "");

}  // namespace dryfront
