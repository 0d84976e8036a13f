#include "files/shown_numbers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <string_view>
#include <vector>

namespace dryfront {
namespace {

constexpr double mm = 1e-3;
constexpr int most_length_decimals = 2;

const ShownQuantity& row_of(Quantity quantity) {
  const auto row = std::find_if(shown_quantities.begin(), shown_quantities.end(),
                                [quantity](const ShownQuantity& q) { return q.quantity == quantity; });
  assert(row != shown_quantities.end());
  return *row;
}

// The power of ten of the first digit after rounding to so many significant digits: 9.99 with two is 10, so 1.
int leading_power(double value, int significant) {
  const std::string text = fmt::format("{:.{}e}", value, significant - 1);
  return std::stoi(text.substr(text.find('e') + 1));
}

std::string with_unit(const std::string& number, std::string_view unit) {
  return unit.empty() ? number : fmt::format("{} {}", number, unit);
}

// A negative number of decimals rounds to tens, hundreds ...
std::string rounded(double value, int decimals, std::string_view unit) {
  const double step = std::pow(10.0, -decimals);
  const double whole = decimals < 0 ? std::round(value / step) * step : value;
  const std::string number = fmt::format("{:.{}f}", whole, std::max(decimals, 0));
  const bool nothing_left = number.find_first_of("123456789") == std::string::npos;
  if (!nothing_left) return with_unit(number, unit);
  if (value == 0) return with_unit("0", unit);
  return "below " + with_unit(fmt::format("{:.{}f}", step, std::max(decimals, 0)), unit);
}

// Size of the interval between neighbouring faces that holds a place [m].
double interval_at(const std::vector<double>& faces, double place) {
  const auto after = std::upper_bound(faces.begin() + 1, faces.end() - 1, place);
  return *after - *(after - 1);
}

std::string time_or_never(double time) { return std::isnan(time) ? "never" : shown(Quantity::time, time); }

}  // namespace

std::string shown(Quantity quantity, double value) {
  const ShownQuantity& row = row_of(quantity);
  if (!std::isfinite(value)) return "\u2013";
  int decimals = row.decimals;
  if (row.significant > 0 && value != 0) {
    decimals = std::min(decimals, row.significant - 1 - leading_power(value, row.significant));
  }
  return rounded(value, decimals, row.unit);
}

int length_decimals(double cell) {
  constexpr double round_off = 1e-9;  // a cell of 0.1 mm has two decimals, whatever its last bit
  const double borne = std::floor(-std::log10(cell / mm / 10) + round_off);
  return std::clamp(static_cast<int>(borne), 0, most_length_decimals);
}

std::string shown_length(double length, double cell) {
  if (!std::isfinite(length)) return "\u2013";
  return length == 0 ? "none" : rounded(length / mm, length_decimals(cell), "mm");
}

double cell_at_depth(const Grid& grid, double depth) { return interval_at(grid.z_face(), depth); }

double cell_at_radius(const Grid& grid, double radius) { return interval_at(grid.r_face(), radius); }

std::map<std::string, std::string> shown_summary(const Grid& grid, const ModeRecord& record) {
  std::map<std::string, std::string> texts;
  for (const EffectRecord& effect : record.effects) {
    texts["depth_" + effect.name + "_m"] = shown_length(effect.depth, cell_at_depth(grid, effect.depth));
    texts["axis_depth_" + effect.name + "_m"] = shown_length(effect.axis_depth, cell_at_depth(grid, effect.axis_depth));
    texts["half_width_" + effect.name + "_m"] =
        shown_length(effect.half_width, cell_at_radius(grid, effect.half_width));
    texts["volume_" + effect.name + "_m3"] =
        effect.volume == 0 ? "none" : shown(Quantity::volume, effect.volume / (mm * mm * mm));
  }
  texts["crest_factor"] = shown(Quantity::crest_factor, record.crest_factor);
  texts["resistance_start_ohm"] = shown(Quantity::resistance, record.resistance_start);
  texts["resistance_least_ohm"] = shown(Quantity::resistance, record.resistance_least);
  texts["resistance_end_ohm"] = shown(Quantity::resistance, record.resistance_end);
  texts["delivered_J"] = shown(Quantity::energy, record.delivered);
  texts["surface_J"] = shown(Quantity::energy, record.surface);
  texts["arcing_s"] = time_or_never(record.arcing);
  texts["dry_out_s"] = time_or_never(record.dry_out);
  texts["peak_C"] = shown(Quantity::temperature, record.peak_temperature);
  return texts;
}

}  // namespace dryfront
