// One table per enumeration: its members in order and the word of each, as case files, results and messages write it.
#pragma once

#include <array>
#include <cassert>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace dryfront {

template <class Enumeration>
struct Enumerator {
  Enumeration value;
  std::string_view word;
};

// A table stands beside its enumeration as
//   constexpr auto enumerators(Colour) { return enumeration<Colour>({{Colour::red, "red"}, {Colour::blue, "blue"}}); }
// and is found by the enumeration's type. It does not compile unless the members stand in their order, from 0, without
// a gap.
template <class Enumeration, std::size_t count>
consteval std::array<Enumerator<Enumeration>, count> enumeration(const Enumerator<Enumeration> (&members)[count]) {
  std::array<Enumerator<Enumeration>, count> table{};
  for (std::size_t k = 0; k < count; ++k) {
    if (static_cast<std::size_t>(members[k].value) != k) throw "the members of an enumeration stand in their order";
    table[k] = members[k];
  }
  return table;
}

// The word of a member, "constant_power" of SourceKind::constant_power.
template <class Enumeration>
constexpr std::string_view word_of(Enumeration value) {
  constexpr auto table = enumerators(Enumeration{});
  assert(static_cast<std::size_t>(value) < table.size());
  return table[static_cast<std::size_t>(value)].word;
}

// All words, in the order of the enumeration.
template <class Enumeration>
std::vector<std::string> words_of() {
  std::vector<std::string> words;
  for (const auto& member : enumerators(Enumeration{})) words.emplace_back(member.word);
  return words;
}

}  // namespace dryfront
