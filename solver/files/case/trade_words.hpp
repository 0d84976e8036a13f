// Words of the trade that are no keys, and the keys and choices that are meant by them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include <toml++/toml.h>

#include "files/case/key_table.hpp"

namespace dryfront {

// Words for a key. Where two rows hold the same word the section in which it was written decides, else the first.
struct TradeWord {
  std::string_view words;    // with _ for blanks, separated by blanks
  std::string_view section;  // of the key, as in sections()
  std::string_view key;
  std::string_view how{};               // what becomes of the number, and what else has to be known
  double (*convert)(double) = nullptr;  // the same for a number in the key's unit; null: it stays
};
std::span<const TradeWord> trade_words();

// Words for a choice of a key.
struct TradeChoice {
  std::string_view words;
  std::string_view section;
  std::string_view key;
  std::string_view choice;
};
std::span<const TradeChoice> trade_choices();

// What is meant by an unknown key.
struct MeantKey {
  const Section* section = nullptr;
  const KeyInfo* key = nullptr;
  std::string answer;  // "that is radius_mm, half of it: radius_mm = 3"; where it belongs, if that is elsewhere
};
// The key meant by `name` = `value`, written among `keys` in a section whose path without numbers and names is
// `section`. Letters of either case, blanks and - for _, and a unit at the end are allowed; the number is worked out
// where its unit is that of the key or none is said. Nothing when the word is unknown or `keys` are not of a case.
std::optional<MeantKey> meant_key(std::string_view name, const toml::node& value, std::span<const KeyInfo> keys,
                                  std::string_view section);

// The choice of `key` meant by `word`; empty when that is unknown.
std::string_view meant_choice(std::string_view word, const KeyInfo& key);

}  // namespace dryfront
