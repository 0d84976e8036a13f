#include "files/case/case_warning.hpp"

#include <fmt/format.h>

#include <cmath>

#include "physics/source.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

std::string warning_text(const CaseWarning& warning) {
  std::string text;
  for (const std::string& before : {warning.place, warning.given}) text += before.empty() ? "" : before + ": ";
  return text + warning.sentence + (warning.advice.empty() ? "" : "; " + warning.advice);
}

double rounded_up(double value) {
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 2);
  return std::ceil(value / step) * step;
}

std::vector<CaseWarning> limit_at_start_warning(const Mode& mode, double load, const std::string& place) {
  const Source& s = mode.source;
  const bool holds_power = s.kind == SourceKind::constant_power || s.kind == SourceKind::table;
  if (!holds_power || s.peak_limit <= 0 || !std::isfinite(load)) return {};
  const double crest = crest_factor(mode.waveform);
  Source unlimited = s;
  unlimited.peak_limit = 0;
  const double wanted = source_voltage(unlimited, load, crest), given = source_voltage(s, load, crest);
  if (given >= wanted * (1 - 1e-9)) return {};
  return {{place, fmt::format("mode.{}.source.peak_limit_V = {:g}", mode.name, s.peak_limit),
           fmt::format("\"{}\" gives {:.1f} W in place of {:.1f} W to the load of {:.0f} ohm at the start: that takes "
                       "{:.0f} V peak, and at most {:g} V are allowed",
                       mode.label, given * given / load, wanted * wanted / load, load, wanted * crest, s.peak_limit),
           fmt::format("peak_limit_V = {:.6g} is enough", rounded_up(wanted * crest))}};
}

}  // namespace dryfront
