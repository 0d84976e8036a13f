#include "report/found_settings.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "files/caution.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

std::string mode_text(const FoundForMode& answer, const std::string& mode, bool below_arcing) {
  if (!answer.found) return fmt::format("{:<20} none: {}\n", mode, answer.reason);
  const Found& found = *answer.found;
  if (below_arcing) {
    return fmt::format("{:<20} {} = {:.4g}; strikes at {:.4g}; greatest peak {:.0f} V\n", mode, answer.key, found.value,
                       found.upper, found.reached);
  }
  return fmt::format("{:<20} {} = {:.4g} ({:.3f} mm); bracket {:.4g} to {:.4g}\n", mode, answer.key, found.value,
                     found.reached, found.lower, found.upper);
}

Json mode_json(const FoundForMode& answer, const std::string& mode, bool below_arcing) {
  Json object{{"name", mode}, {"key", answer.key}};
  if (!answer.found) {
    object["value"] = nullptr;
    object["not_found"] = answer.reason;
    return object;
  }
  object["value"] = answer.found->value;
  object["lower"] = answer.found->lower;
  object["upper"] = answer.found->upper;
  object[below_arcing ? "greatest_peak_V" : "depth_mm"] = answer.found->reached;
  object["runs"] = answer.found->runs;
  return object;
}

}  // namespace

std::string nothing_found_text(const FoundSettings& settings) {
  const auto is_found = [](const FoundForMode& answer) { return answer.found.has_value(); };
  if (std::any_of(settings.modes.begin(), settings.modes.end(), is_found)) return "";
  std::string text;
  for (std::size_t k = 0; k < settings.modes.size(); ++k) {
    text += fmt::format("\n  {}: {}", settings.of_case.modes[k].name, settings.modes[k].reason);
  }
  return text;
}

std::string found_settings_text(const FoundSettings& settings) {
  std::string text = "Sought: " + settings.sought + "\n\n";
  for (std::size_t k = 0; k < settings.modes.size(); ++k) {
    text += mode_text(settings.modes[k], settings.of_case.modes[k].name, settings.below_arcing);
  }
  return text + fmt::format("\nComputed at {}.\n", settings.resolution) + wrapped(caution);
}

Json found_settings_json(const FoundSettings& settings, const std::string& version, const std::string& case_path) {
  Json object{
      {"version", version}, {"case", case_path}, {"sought", settings.sought}, {"resolution", settings.resolution}};
  object["modes"] = Json::array();
  for (std::size_t k = 0; k < settings.modes.size(); ++k) {
    object["modes"].push_back(mode_json(settings.modes[k], settings.of_case.modes[k].name, settings.below_arcing));
  }
  object["caution"] = caution;
  return object;
}

}  // namespace dryfront
