// The command tissue: conductivity and permittivity of the tabulated tissues at a frequency.
#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "commands/commands.hpp"
#include "files/case/case_error.hpp"
#include "files/caution.hpp"
#include "files/json.hpp"
#include "physics/cole_cole.hpp"
#include "report/console.hpp"
#include "report/wrapped_text.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

constexpr double kHz = 1e3;
constexpr const char* table_source =
    "Four-term Cole-Cole fits of Gabriel, Lau and Gabriel 1996, Phys Med Biol 41:2271 (read second-hand), 10 Hz to 20 "
    "GHz, 37 C; below 1 MHz measurements scatter by a factor of two (from memory).";
constexpr const char* against_measured =
    "Human liver ex vivo was measured at 0.35 S/m at 470 kHz and 34.9 C (Zurbuchen et al. 2016), 2.4 times the fit: "
    "take a "
    "conductivity that was measured where there is one.";

struct TissueArguments {
  std::string name;  // empty: all
  double kHz = 400;
  bool json = false;
};

std::vector<ColeColeTissue> chosen_tissues(const std::string& name) {
  const auto all = cole_cole_tissues();
  if (name.empty()) return {all.begin(), all.end()};
  std::vector<std::string> names;
  for (const ColeColeTissue& tissue : all) {
    if (tissue.name == name) return {tissue};
    names.emplace_back(tissue.name);
  }
  throw CaseError({"NAME", "is no tissue of the table", name, "one of " + joined(names), nearest_name(name, names)});
}

std::string text_of(const std::vector<ColeColeTissue>& tissues, double frequency) {
  std::string text = fmt::format("At {:g} kHz          S/m   eps_r   omega eps / sigma\n", frequency / kHz);
  for (const ColeColeTissue& tissue : tissues) {
    const Dielectric at = dielectric_at(tissue, frequency);
    text += fmt::format("{:<16} {:>8.4g} {:>7.4g} {:>11.3g}\n", tissue.name, at.conductivity, at.permittivity,
                        at.loss_angle);
  }
  return text + '\n' + wrapped(table_source) + wrapped(against_measured) + wrapped(std::string(caution));
}

std::string json_of(const std::vector<ColeColeTissue>& tissues, double frequency) {
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const ColeColeTissue& tissue : tissues) {
    const Dielectric at = dielectric_at(tissue, frequency);
    rows.push_back({{"name", tissue.name},
                    {"conductivity_S_m", at.conductivity},
                    {"relative_permittivity", at.permittivity},
                    {"displacement_over_conduction", at.loss_angle}});
  }
  return json_text({{"version", version},
                    {"kHz", frequency / kHz},
                    {"tissues", std::move(rows)},
                    {"source", table_source},
                    {"caution", caution}}) +
         "\n";
}

int tell(const TissueArguments& arguments) {
  const double frequency = arguments.kHz * kHz;
  if (!(frequency >= least_cole_cole_frequency && frequency <= greatest_cole_cole_frequency)) {
    throw CaseError(
        {"--at", "is outside the table", fmt::format("{:g}", arguments.kHz),
         fmt::format("{:g} to {:g} [kHz]", least_cole_cole_frequency / kHz, greatest_cole_cole_frequency / kHz), ""});
  }
  const std::vector<ColeColeTissue> tissues = chosen_tissues(arguments.name);
  print_result(arguments.json ? json_of(tissues, frequency) : text_of(tissues, frequency));
  return exit_done;
}

}  // namespace

void add_tissue(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<TissueArguments>();
  CLI::App* command = app.add_subcommand("tissue", "conductivity and permittivity of tissues at a frequency");
  command->add_option("NAME", arguments->name, "a tissue of the table; all of them when not given");
  command->add_option("--at", arguments->kHz, "the frequency [kHz]")->type_name("kHz")->capture_default_str();
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->callback([arguments, &chosen] { chosen = [arguments] { return tell(*arguments); }; });
}

}  // namespace dryfront
