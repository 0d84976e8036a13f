// Bases: in which sense two modes are set equal before their depths are compared. The first mode stays as the case
// has it, the second one is changed.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "simulation/case.hpp"
#include "simulation/record.hpp"
#include "studies/search/finder.hpp"

namespace dryfront {

// Those that set something equal.
inline constexpr Basis all_bases[] = {Basis::same_setting, Basis::mean_power, Basis::energy, Basis::dry_out};

// "the modes as they stand", "the same setting", ...
std::string_view words(Basis basis);

inline constexpr double basis_tolerance = 1e-3;  // to which the quantity is held [-]

// Two modes on a basis, and what came of them.
struct PairOnBasis {
  Case two;  // the second mode changed
  ModeRecord first, second;
  double wanted = 0, held = 0;  // the quantity that is held, of the first and of the second mode; its unit:
  const char* unit = "";
  std::string changed;  // "gated: setting_W = 83.2 in place of 60"
};

// Sets the second of the two modes of `two` on the basis of the first; as_given may not be asked for. Throws NotFound
// when no setting does it, or when the first mode has no such quantity (no setting, no dry-out).
PairOnBasis on_basis(const Case& two, const Grid& grid, Basis basis, const SearchWork& work);

// An activation, the same for both modes, at which another of them begins to reach deeper.
struct TurnOfOrder {
  double lower = 0, upper = 0;  // bracket of the activation [s]
  double depth = 0;             // of both, at the middle of it [m]
  bool first_leads_after = false;
};

struct OrderOverActivation {
  std::vector<double> activation;                 // that were tried, rising [s]
  std::vector<double> first_depth, second_depth;  // [m]
  std::vector<TurnOfOrder> turns;
};

// Tries `points` activations from `shortest` to `longest` in a geometric series, both modes with the same, and closes
// the bracket of every turn to half a per cent of the activation. Differences of depth below `alike` [m] decide
// nothing.
OrderOverActivation order_over_activation(const Case& two, const Grid& grid, std::size_t effect, double shortest,
                                          double longest, int points, double alike, int threads,
                                          const SearchWork& work);

}  // namespace dryfront
