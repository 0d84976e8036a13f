#include "files/case/conductor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/case/case_error.hpp"

namespace dryfront {
namespace {

constexpr double notable_displacement = 0.1;
constexpr double excessive_displacement = 1;

// Empty when there is nothing to warn of.
std::string warning_for(const Tissue& tissue, const Case& c, const std::string& place) {
  double greatest = 0;
  const Mode* worst = nullptr;
  for (const Mode& mode : c.modes) {
    const double ratio = displacement_ratio(tissue, mode.waveform.carrier);
    if (ratio > greatest) {
      greatest = ratio;
      worst = &mode;
    }
  }
  if (greatest <= notable_displacement) return "";
  const std::string finding = fmt::format(
      "{} at {:g} kHz (mode {}): displacement current is {:.2f} of the conduction current (omega eps / sigma)",
      tissue.name, worst->waveform.carrier / 1e3, worst->name, greatest);
  if (greatest > excessive_displacement) {
    throw CaseError({.place = place,
                     .what = "the tissue cannot be taken as a conductor: " + finding,
                     .given = fmt::format("conductivity_S_m = {:g}, relative_permittivity = {:g}", tissue.conductivity,
                                          tissue.relative_permittivity),
                     .allowed = fmt::format("omega eps / sigma up to {:g}", excessive_displacement),
                     .nearest = ""});
  }
  return finding + fmt::format("; it is left out, which makes the admittance {:.1f} % too small",
                               100 * (1 - 1 / std::hypot(1.0, greatest)));
}

}  // namespace

std::vector<std::string> conductor_warnings(const Case& c, const std::string& place) {
  std::vector<std::string> warnings, judged;
  for (const Layer& layer : c.specimen.layers) {
    if (std::find(judged.begin(), judged.end(), layer.tissue.name) != judged.end()) continue;
    judged.push_back(layer.tissue.name);
    const std::string warning = warning_for(layer.tissue, c, place);
    if (!warning.empty()) warnings.push_back(warning);
  }
  return warnings;
}

}  // namespace dryfront
