// The mechanisms that [physics] can switch off: one table for the case file, for what is computed with one of them off,
// and for messages.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>
#include <type_traits>

#include "physics/contact_parameters.hpp"

namespace dryfront {

struct Mechanism {
  std::string_view key;      // of [physics]
  std::string_view words;    // for people, as in "without re-wetting"
  std::string_view meaning;  // what it says when it is on
  bool Physics::*is_on;
};

inline constexpr std::array mechanisms{
    Mechanism{"boil_off", "boil-off", "water boils off at the boiling temperature", &Physics::boil_off},
    Mechanism{"moisture", "re-wetting", "water is drawn from wet to dry tissue", &Physics::moisture},
    Mechanism{"arcing", "arcing", "sparks cross a dried contact", &Physics::arcing},
    Mechanism{"eschar", "eschar", "spark heat dries the surface for good", &Physics::eschar},
    Mechanism{"breakdown", "breakdown", "dried tissue conducts above a field strength", &Physics::breakdown},
    Mechanism{"perfusion", "perfusion", "blood carries heat away", &Physics::perfusion},
    Mechanism{"conductivity_rises", "rise of the conductivity", "the conductivity depends on temperature",
              &Physics::conductivity_rises},
    Mechanism{"bound_water", "bound water", "water boils off over a range of temperatures, see bound_onset_K",
              &Physics::bound_water},
    Mechanism{"vapour", "vapour", "vapour carries heat and water to where it is cooler", &Physics::vapour},
    Mechanism{"rim_arcing", "arcing beside the contact",
              "sparks cross to the free surface beside a touching face (spots, with spark_law = \"channels\")",
              &Physics::rim_arcing},
    Mechanism{"pressed_out_water", "pressed-out water", "shrinking tissue presses water out, see pressed_m2_s",
              &Physics::pressed_out_water},
};

// How many switches Physics has. A new member does not compile until it is named here.
consteval std::size_t switches_of(const Physics& physics) {
  const auto count = [](const auto&... member) {
    return (std::size_t{std::is_same_v<decltype(member), const bool&>} + ...);
  };
  const auto& [a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s, t, u, v, w, x, y, z, aa, ab] = physics;
  return count(a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s, t, u, v, w, x, y, z, aa, ab);
}
static_assert(switches_of(Physics{}) == mechanisms.size(), "a switch of Physics is missing in the table of mechanisms");

}  // namespace dryfront
