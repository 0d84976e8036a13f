// Setting finders: the setting or the activation with which a mode reaches a wanted depth, the largest setting below
// striking. Each looks for a bracket first and closes it by a bracketed root finder (TOMS 748; Alefeld, Potra and Shi
// 1995), with whole runs as function values.
#pragma once

#include <atomic>
#include <functional>
#include <stdexcept>
#include <string>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// The setting of a source [W]; of a fixed voltage its rms [V].
double setting_of(const Source& source);
// The source with another setting; a table's powers change in proportion.
Source with_setting(const Source& source, double setting);
// "setting_W" or "rms_V".
const char* setting_key(const Source& source);

// No setting within the searched range does it: which range, how near it comes.
class NotFound : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// The search was given up because of `stop`.
class Stopped : public std::runtime_error {
 public:
  Stopped() : std::runtime_error("stopped") {}
};

struct SearchWork {
  const std::atomic<bool>* stop = nullptr;  // set to end early; Stopped is thrown
  std::function<void()> on_run;             // after every run; may be empty
};

// One run of one mode of a case. Throws NumericalFailure, Stopped.
ModeRecord run_alone(const Case& c, const Grid& grid, const Mode& mode, const SearchWork& work);

// A setting and the bracket it was found in: the function is below at `lower` and above at `upper`, or equal within the
// tolerance at `value`.
struct Found {
  double value = 0;
  double lower = 0, upper = 0;
  double reached = 0;  // the function there
  int runs = 0;
};

// What a search is to do: find x with function(x) = wanted, to within `tolerance` of the wanted value.
struct Search {
  std::function<double(double)> function;
  double wanted = 0;
  double tolerance = 1e-3;  // relative to wanted [-]
  double from = 0, to = 0;  // range of x, 0 < from < to
  double ratio = 1.25;      // between the points tried for a bracket, > 1
};

// The smallest x in the range at which the function comes up to `wanted`, trying points of a geometric series upwards:
// what it does between two of them is not seen. It may already be there at `from` within the tolerance.
// Throws NotFound: already beyond at `from`, not reached up to `to`, or the function jumps across.
Found find_rising(const Search& search);

// The smallest setting with which mode `mode` reaches `depth` [m] of the effect at the end of its run, within 0.2 % of
// the depth. Searched from 1 to 500 (W, or V for a fixed voltage). Throws NotFound.
Found find_setting(const Case& c, const Grid& grid, std::size_t mode, std::size_t effect, double depth,
                   const SearchWork& work);

// The same for the activation [s]; searched up to `longest` [s]. The watching time stays as it is. Throws NotFound.
Found find_activation(const Case& c, const Grid& grid, std::size_t mode, std::size_t effect, double depth,
                      double longest, const SearchWork& work);

// The largest setting up to which less than 0.1 % of the current enters through sparks during the whole activation:
// `value` does not strike, `upper` does and is 0.2 % higher at most; `reached` is the greatest peak voltage at `value`
// [V]. Searched from 0.1 to 500. Throws NotFound when it strikes at the lowest or not at the highest.
Found find_setting_below_arcing(const Case& c, const Grid& grid, std::size_t mode, const SearchWork& work);

}  // namespace dryfront
