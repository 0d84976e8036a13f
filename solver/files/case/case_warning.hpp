// A warning about a case, for standard error and for those who look at its results.
#pragma once

#include <string>
#include <vector>

#include "simulation/case.hpp"

namespace dryfront {

struct CaseWarning {
  std::string place;     // file:line:column, or the override as it was typed; empty: the whole case
  std::string given;     // "specimen.start_C = 98.6"; empty: nothing that could be pointed at
  std::string sentence;  // in plain words, without keys: what figures, page and handout show
  std::string advice;    // what to do, with keys; empty: nothing
};

// "case.toml:5:11: specimen.start_C = 98.6: ...; ..."
std::string warning_text(const CaseWarning& warning);

// Three digits, rounded up, so that what is advised is enough.
double rounded_up(double value);

// The warning that a mode's peak limit keeps its source from giving its setting to the load at the start [ohm], for a
// source that should (constant_power, table); nothing otherwise. `place` is that of the limit.
std::vector<CaseWarning> limit_at_start_warning(const Mode& mode, double load, const std::string& place);

// A case with what is odd in it.
struct JudgedCase {
  Case c;
  std::vector<CaseWarning> warnings;
  std::vector<std::string> limit_places;  // of every mode's peak_limit_V, or of its source where it states none
};

}  // namespace dryfront
