// What every output about the bench beside the tissue shows a person.
#pragma once

namespace dryfront {

inline constexpr const char* bench_caution =
    "No person is ever part of the circuit: nobody wears a return electrode, holds a lead, a lamp or metal, or touches "
    "the specimen while the source is active. Use dummy loads, agar and resistors that bear the power and the peak "
    "voltage; one operator at the switch; draw off smoke; keep away what burns, and oxygen; whoever has an implant "
    "stays "
    "away; equipment used for demonstration does not go back to patients.";

}  // namespace dryfront
