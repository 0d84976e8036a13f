// Footings: in which sense two drives are set equal before their depths are compared. The first drive stays as the case
// has it, the second one is changed.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "simulation/case.hpp"
#include "simulation/record.hpp"
#include "studies/finder.hpp"

namespace dryfront {

// Those that set something equal.
inline constexpr Footing all_footings[] = {Footing::same_dial, Footing::mean_power, Footing::energy, Footing::dry_out};

// The words of the case file: "as_given", "same_dial", "mean_power", "energy", "dry_out".
std::string_view word(Footing footing);
// "the drives as they stand", "the same dial", ...
std::string_view words(Footing footing);

inline constexpr double footing_tolerance = 1e-3;  // to which the quantity is held [-]

// Two drives on a footing, and what came of them.
struct FootedPair {
  Case two;  // the second drive changed
  DriveRecord first, second;
  double wanted = 0, held = 0;  // the quantity that is held, of the first and of the second drive; its unit:
  const char* unit = "";
  std::string changed;  // "gated: dial_W = 83.2 in place of 60"
};

// Sets the second of the two drives of `two` on the footing of the first; as_given may not be asked for. Throws NotFound when no setting does it, or when
// the first drive has no such quantity (no dial, no dry-out).
FootedPair on_footing(const Case& two, const Grid& grid, Footing footing, const SearchWork& work);

// A dwell, the same for both drives, at which another of them begins to reach deeper.
struct TurnOfOrder {
  double lower = 0, upper = 0;  // bracket of the dwell [s]
  double depth = 0;             // of both, at the middle of it [m]
  bool first_leads_after = false;
};

struct OrderOverDwell {
  std::vector<double> dwell;                      // that were tried, rising [s]
  std::vector<double> first_depth, second_depth;  // [m]
  std::vector<TurnOfOrder> turns;
};

// Tries `points` dwells from `shortest` to `longest` in a geometric series, both drives with the same, and closes the
// bracket of every turn to half a per cent of the dwell. Differences of depth below `alike` [m] decide nothing.
OrderOverDwell order_over_dwell(const Case& two, const Grid& grid, std::size_t effect, double shortest, double longest,
                                int points, double alike, int threads, const SearchWork& work);

}  // namespace dryfront
