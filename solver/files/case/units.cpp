#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

#include "files/case/key_table.hpp"

namespace dryfront {

const std::vector<Unit>& units() {
  static const std::vector<Unit> all = {
      {"", "-", 1, 1},
      {"mm", "mm", 1, 1e3},
      {"um", "um", 1, 1e6},
      {"us", "us", 1, 1e6},
      {"kHz", "kHz", 1e3, 1},
      {"MV_m", "MV/m", 1e6, 1},
      {"s", "s", 1, 1},
      {"C", "C", 1, 1},
      {"per_C", "1/C", 1, 1},
      {"K", "K", 1, 1},
      {"V", "V", 1, 1},
      {"pF", "pF", 1, 1e12},
      {"uH", "uH", 1, 1e6},
      {"nF_cm2", "nF/cm2", 1, 1e5},
      {"W", "W", 1, 1},
      {"A", "A", 1, 1},
      {"A_m2", "A/m2", 1, 1},
      {"ohm", "ohm", 1, 1},
      {"S_m", "S/m", 1, 1},
      {"S_m2", "S/m2", 1, 1},
      {"W_mK", "W/(m K)", 1, 1},
      {"W_m2K", "W/(m2 K)", 1, 1},
      {"W_m3", "W/m3", 1, 1},
      {"J_K", "J/K", 1, 1},
      {"J_kg", "J/kg", 1, 1},
      {"J_kgK", "J/(kg K)", 1, 1},
      {"J_m3K", "J/(m3 K)", 1, 1},
      {"J_mol", "J/mol", 1, 1},
      {"kg_m3", "kg/m3", 1, 1},
      {"m2_s", "m2/s", 1, 1},
      {"1_s", "1/s", 1, 1},
  };
  return all;
}

bool is_unit_suffix(std::string_view text) {
  static const std::vector<std::string_view> others = {"m",  "cm",  "nm",  "in", "mil", "min", "h",  "ms",  "ns",
                                                       "Hz", "MHz", "GHz", "kV", "mV",  "mW",  "kW", "mA",  "kohm",
                                                       "K",  "F",   "kJ",  "J",  "mJ",  "g",   "kg", "V_m", "kV_m"};
  const auto known = [&](const Unit& unit) { return !unit.suffix.empty() && unit.suffix == text; };
  return std::any_of(units().begin(), units().end(), known) ||
         std::find(others.begin(), others.end(), text) != others.end();
}

std::string number_text(double value) {
  std::array<char, 32> digits{};
  const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return std::string(digits.data(), error == std::errc() ? end : digits.data());
}

double from_si(const Unit& unit, double value) {
  const double near = value * unit.over / unit.times;
  if (!std::isfinite(near)) return near;
  std::array<char, 40> digits{};
  for (int precision = 12; precision <= 17; ++precision) {
    const auto [end, error] =
        std::to_chars(digits.data(), digits.data() + digits.size(), near, std::chars_format::general, precision);
    double candidate = 0;
    if (error == std::errc()) std::from_chars(digits.data(), end, candidate);
    if (to_si(unit, candidate) == value) return candidate;
  }
  double below = near, above = near;
  for (int step = 0; step < 8; ++step) {
    below = std::nextafter(below, -std::numeric_limits<double>::infinity());
    above = std::nextafter(above, std::numeric_limits<double>::infinity());
    if (to_si(unit, below) == value) return below;
    if (to_si(unit, above) == value) return above;
  }
  return near;
}

}  // namespace dryfront
