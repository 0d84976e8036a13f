#include "report/sweep_analysis.hpp"

#include <fmt/format.h>

#include "studies/sweep/analysis.hpp"

namespace dryfront {

using Json = nlohmann::ordered_json;

std::string analysis_text(const Json& analysis) {
  std::string text;
  const auto shown = [](const Json& value) {
    return value.is_null() ? std::string("-") : fmt::format("{:.3f}", number_of(value));
  };
  for (const Json& part : analysis["analysis"]) {
    text += fmt::format("\n{}: {} [{}]\n", text_of(part["design"]), text_of(part["output"]), text_of(part["units"]));
    if (part.contains("quantiles")) {
      for (const Json& entry : part["quantiles"]) {
        text += fmt::format("  {:.0f} % {}", 100 * entry["share"].get<double>(), shown(entry["value"]));
      }
      if (part.contains("share_above_1")) text += fmt::format("  above 1: share {}", shown(part["share_above_1"]));
      if (part["without_value"] != 0) text += fmt::format("  ({} without a value)", part["without_value"].dump());
      text += '\n';
    }
    if (part.contains("indices")) {
      if (part["base_points_left_out"] != 0) {
        text += fmt::format("  {} of {} base points left out: a run of theirs failed or has no value\n",
                            part["base_points_left_out"].dump(),
                            part["base_points"].get<std::size_t>() + part["base_points_left_out"].get<std::size_t>());
      }
      text += fmt::format("  {:<28} {:>24}   {:>24}\n", "axis", "first order", "total");
      for (const Json& entry : part["indices"]) {
        const auto range = [&](const Json& of) {
          return fmt::format("{} ({} .. {})", shown(of["value"]), shown(of["low"]), shown(of["high"]));
        };
        text += fmt::format("  {:<28} {:>24}   {:>24}\n", text_of(entry["axis"]), range(entry["first"]),
                            range(entry["total"]));
      }
    }
    if (part.contains("tornado")) {
      text += fmt::format("  base {}\n", shown(part["base"]));
      for (const Json& entry : part["tornado"]) {
        text += fmt::format("  {:<28} {:>10} .. {:<10}\n", text_of(entry["axis"]), shown(entry["least"]),
                            shown(entry["greatest"]));
      }
    }
    if (part.contains("maps")) {
      text += fmt::format("  {} map(s) over {} and {}\n", part["maps"].size(), text_of(part["x"]["axis"]),
                          text_of(part["y"]["axis"]));
    }
  }
  return text;
}

}  // namespace dryfront
