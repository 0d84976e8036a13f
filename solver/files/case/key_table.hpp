// The one table of keys: it directs the reading of case files, the resolved case, the printed reference and the
// "did you mean" of messages. A key is declared once, with its unit, range, meaning and the member it is stored in;
// its default is that member's value in a default-constructed object.
#pragma once

#include <limits>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

enum class KeyKind { number, integer, flag, text, choice, numbers, texts, table, tables };

// A key's unit: the suffix its name ends in and the conversion to SI, value * times / over. Both factors are exact
// powers of ten, so that 0.3 mm becomes the double nearest to 0.3 / 1000.
struct Unit {
  std::string_view suffix;  // as in radius_mm; empty: no suffix
  std::string_view shown;   // as printed
  double times = 1;
  double over = 1;
};

// The only conversion of case-file numbers into SI.
inline double to_si(const Unit& unit, double value) { return value * unit.times / unit.over; }
// The number of fewest digits that to_si turns back into `value`, where there is one; within rounding otherwise.
double from_si(const Unit& unit, double value);
// The shortest decimal text that reads back to the same double.
std::string number_text(double value);

// All units a key can have.
const std::vector<Unit>& units();
// Whether a name may end in it: the units above, and those that people reach for and no key has.
bool is_unit_suffix(std::string_view text);

struct Range {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  bool low_open = false;  // low itself is not allowed
  bool contains(double value) const { return value <= high && (low_open ? value > low : value >= low); }
};

struct KeyInfo {
  std::string name;
  KeyKind kind = KeyKind::number;
  Unit unit;
  Range range;                       // in the key's unit
  std::vector<std::string> choices;  // choice: in the order of the enumeration
  bool required = false;
  std::string default_text;  // the default as printed
  std::string meaning;
  bool shorthand = false;  // sets other keys; the resolved case writes those instead
};

// An enumeration seen as the index of its choices.
template <class Object>
struct ChoiceMember {
  int (*get)(const Object&);
  void (*set)(Object&, int);
};

// monostate: read by hand (tissues, data files, effects), since it needs more than one member.
template <class Object>
using Member = std::variant<std::monostate, double Object::*, int Object::*, bool Object::*, std::string Object::*,
                            std::vector<double> Object::*, std::vector<std::string> Object::*, ChoiceMember<Object>>;

template <class Object>
struct Key : KeyInfo {
  Member<Object> member;
};

// The keys of one section, in the order they are read, written and printed.
template <class Object>
using Keys = std::vector<Key<Object>>;

const Keys<Case>& case_keys();
const Keys<Specimen>& specimen_keys();
const Keys<Layer>& layer_keys();
const Keys<Electrode>& electrode_keys();
const Keys<Mode>& mode_keys();
const Keys<Waveform>& waveform_keys();
const Keys<Source>& source_keys();
const Keys<Physics>& physics_keys();
const Keys<Tissue>& tissue_keys();
const Keys<DamagePair>& damage_keys();
const Keys<Effect>& effect_keys();
const Keys<Probe>& probe_keys();
const Keys<Grading>& grid_keys();
const Keys<TimeSettings>& time_keys();
const Keys<OutputSettings>& output_keys();
const Keys<ComparisonSettings>& comparison_keys();
const Keys<Circuit>& circuit_keys();
const Keys<SplitPad>& pad_keys();
const Keys<PadLayer>& pad_layer_keys();

// One section of the reference, with what the keys are stored in left out.
struct Section {
  std::string path;     // "mode.waveform"
  std::string heading;  // as written in a case file: "[[mode]] waveform = { ... }"
  std::string meaning;
  std::vector<KeyInfo> keys;
};
const std::vector<Section>& sections();

// What may stand behind a key: "a number > 0 and <= 1000 [mm]".
std::string allowed_text(const KeyInfo& key);

// The reference of all keys, as text for a terminal or as Markdown.
std::string print_keys(bool markdown);

}  // namespace dryfront
