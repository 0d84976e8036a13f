// How numbers are shown to people: the only place where a number of a mode's summary is rounded. The comparison prints
// these texts, the run file carries them, and figures, page and handout show them as they stand there.
#pragma once

#include <array>
#include <map>
#include <string>

#include "numerics/grid.hpp"
#include "simulation/record.hpp"

namespace dryfront {

enum class Quantity { volume, crest_factor, ratio, share, resistance, power, energy, time, temperature, voltage, cell };

// A quantity is shown with so many significant digits (0: no limit) and at most so many decimals, in this unit.
struct ShownQuantity {
  Quantity quantity;
  const char* name;
  const char* unit;
  int significant;
  int decimals;
};

// Digits that the assumptions bear: what they move by a tenth (docs/results.md) is not shown to a thousandth. Lengths
// in the tissue are not here: their decimals follow the cells of the grid, see length_decimals().
inline constexpr std::array<ShownQuantity, 11> shown_quantities{{
    {Quantity::volume, "volume", "mm\u00b3", 2, 1},
    {Quantity::crest_factor, "crest factor", "", 0, 2},
    {Quantity::ratio, "ratio", "", 2, 2},
    {Quantity::share, "share", "%", 2, 0},
    {Quantity::resistance, "resistance", "ohm", 3, 0},
    {Quantity::power, "power", "W", 3, 1},
    {Quantity::energy, "energy", "J", 3, 1},
    {Quantity::time, "time", "s", 2, 2},
    {Quantity::temperature, "temperature", "\u00b0C", 3, 0},
    {Quantity::voltage, "voltage", "V", 3, 0},
    {Quantity::cell, "cell", "mm", 2, 2},
}};

// A value in the quantity's own unit, with that unit: "385 J"; "below 0.1 J" where nothing would be left of it, and a
// dash where it is no number.
std::string shown(Quantity quantity, double value);

// Decimals of a length in mm that is found in a cell of this size [m]: the last digit is worth a tenth of the cell or
// more, which is what interpolation between cell centres bears (docs/convergence.md); at most two.
int length_decimals(double cell);

// A length [m] in mm with the decimals of a cell of this size [m]: "2.6 mm"; "none" where it is 0.
std::string shown_length(double length, double cell);

// Size of the cell that holds a depth, or a distance from the axis or plane [m].
double cell_at_depth(const Grid& grid, double depth);
double cell_at_radius(const Grid& grid, double radius);

// Every number of a mode's summary that people are shown, under its name in the run file: "depth_coagulation_m" ->
// "2.6 mm". What did not happen is "never", an effect that is not there "none".
std::map<std::string, std::string> shown_summary(const Grid& grid, const ModeRecord& record);

}  // namespace dryfront
