// How a key is declared: the builders that the tables of key_table.cpp are written in.
#pragma once

#include <fmt/format.h>

#include <cassert>
#include <string>
#include <utility>
#include <vector>

#include "files/case/key_table.hpp"
#include "numerics/enumeration.hpp"

namespace dryfront {

inline Range from(double low, double high) { return {low, high, false}; }
inline Range above(double low, double high) { return {low, high, true}; }

inline const Unit& unit_named(std::string_view suffix) {
  for (const Unit& unit : units()) {
    if (unit.suffix == suffix) return unit;
  }
  assert(false && "no such unit");
  return units().front();
}

template <class Object>
Key<Object> key(std::string name, KeyKind kind, std::string_view suffix, std::string meaning) {
  Key<Object> built;
  built.name = std::move(name);
  built.kind = kind;
  built.unit = unit_named(suffix);
  built.meaning = std::move(meaning);
  return built;
}

template <class Object>
Key<Object> number(std::string name, std::string_view suffix, double Object::*member, Range range,
                   std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::number, suffix, std::move(meaning));
  built.member = member;
  built.range = range;
  // The last digits are those of the conversion, not of the number.
  built.default_text = fmt::format("{:.12g}", from_si(built.unit, Object{}.*member));
  return built;
}

template <class Object>
Key<Object> integer(std::string name, int Object::*member, Range range, std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::integer, "", std::move(meaning));
  built.member = member;
  built.range = range;
  built.default_text = std::to_string(Object{}.*member);
  return built;
}

template <class Object>
Key<Object> flag(std::string name, bool Object::*member, std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::flag, "", std::move(meaning));
  built.member = member;
  built.default_text = Object{}.*member ? "true" : "false";
  return built;
}

template <class Object>
Key<Object> text(std::string name, std::string Object::*member, std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::text, "", std::move(meaning));
  built.member = member;
  return built;
}

template <class Object>
Key<Object> numbers(std::string name, std::string_view suffix, std::vector<double> Object::*member, Range range,
                    std::string meaning) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::numbers, suffix, std::move(meaning));
  built.member = member;
  built.range = range;
  return built;
}

// A member of an enumeration, by the words of its table; the first `count` of them where the key does not take all.
template <auto member, class Object>
Key<Object> choice(std::string name, std::string meaning, std::size_t count = std::string::npos) {
  Key<Object> built = key<Object>(std::move(name), KeyKind::choice, "", std::move(meaning));
  using Enumeration = std::decay_t<decltype(std::declval<Object>().*member)>;
  built.member =
      ChoiceMember<Object>{[](const Object& object) { return static_cast<int>(object.*member); },
                           [](Object& object, int index) { object.*member = static_cast<Enumeration>(index); }};
  built.default_text = word_of(Object{}.*member);
  built.choices = words_of<Enumeration>();
  if (count < built.choices.size()) built.choices.resize(count);
  return built;
}

// A choice that sets two members at once; `side` stands for both when it is read back.
template <auto side, auto bottom, class Object>
Key<Object> choice_of_both(std::string name, std::string meaning, std::size_t count = std::string::npos) {
  Key<Object> built = choice<side, Object>(std::move(name), std::move(meaning), count);
  using Enumeration = std::decay_t<decltype(std::declval<Object>().*side)>;
  built.member = ChoiceMember<Object>{
      [](const Object& object) { return static_cast<int>(object.*side); },
      [](Object& object, int index) { object.*side = object.*bottom = static_cast<Enumeration>(index); }};
  built.shorthand = true;
  return built;
}

template <class Object>
Key<Object> required(Key<Object> built) {
  built.required = true;
  built.default_text = "required";
  return built;
}

template <class Object>
Key<Object> with_default(Key<Object> built, std::string shown) {
  built.default_text = std::move(shown);
  return built;
}

}  // namespace dryfront
