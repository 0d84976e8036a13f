#include "commands/command_line.hpp"

#include <signal.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iostream>
#include <new>
#include <numbers>
#include <thread>

#include <fmt/format.h>

#include "commands/figures.hpp"
#include "commands/sweep.hpp"
#include "commands/verify.hpp"
#include "commands/why.hpp"
#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/case/key_table.hpp"
#include "files/file_error.hpp"
#include "install_paths.hpp"
#include "postproc/figures.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

constexpr const char* description =
    "dryfront computes how deep an electrosurgical electrode desiccates tissue, and how that depth depends on the\n"
    "waveform and the source behind it.";

constexpr const char* caution =
    "For teaching and research only. Not for choosing settings on a patient: the model knows neither the patient nor\n"
    "the instrument. Local codes and licensed practice come first, always.\n\n"
    "Exit codes: 0 done, 1 usage, 2 bad case, 3 numerical failure, 4 file or disk, 130 interrupted.";

// Above the first the neglected displacement current is worth a warning, above the second sigma alone is no description
// of the tissue.
constexpr double notable_displacement = 0.1;
constexpr double excessive_displacement = 1;

int fail(const std::string& kind, const std::string& message, int code) {
  std::fprintf(stderr, "%s: %s\n", kind.c_str(), message.c_str());
  return code;
}

int run_chosen(const Action& chosen) {
  try {
    return chosen();
  } catch (const CaseError& error) {
    return fail("error", error.what(), exit_case);
  } catch (const NumericalFailure& error) {
    return fail("numerical failure", error.what(), exit_numbers);
  } catch (const FileError& error) {
    return fail("error", error.what(), exit_file);
  } catch (const FigureError& error) {
    return fail("error", error.what(), exit_file);
  } catch (const std::bad_alloc&) {
    return fail("error", "not enough memory; a coarser grid needs less (grid.fine_mm, grid.coarse_mm)", exit_numbers);
  } catch (const std::exception& error) {
    return fail("internal error", std::string(error.what()) + "; this is a fault of the program", exit_numbers);
  }
}

// The library's own message for a mistyped command would name an argument and not the commands.
std::string unknown_command(const CLI::App& app, int argc, char** argv) {
  if (argc < 2 || argv[1][0] == '-') return "";
  std::vector<std::string> names;
  for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
  const std::string given = argv[1];
  if (std::find(names.begin(), names.end(), given) != names.end()) return "";
  const std::string nearest = nearest_name(given, names);
  return "unknown command '" + given + "'\n  allowed: " + joined(names) +
         (nearest.empty() ? "" : "\n  did you mean '" + nearest + "'?");
}

void judge_conductor(const Tissue& tissue, const Case& c, const std::string& place, const Console& console) {
  double greatest = 0;
  const Mode* worst = nullptr;
  for (const Mode& mode : c.modes) {
    const double ratio = displacement_ratio(tissue, mode.waveform.carrier);
    if (ratio > greatest) {
      greatest = ratio;
      worst = &mode;
    }
  }
  if (greatest <= notable_displacement) return;
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
  console.warn(finding + fmt::format("; it is left out, which makes the admittance {:.1f} % too small",
                                     100 * (1 - 1 / std::hypot(1.0, greatest))));
}

}  // namespace

void add_case_arguments(CLI::App& command, CaseArguments& arguments) {
  command.add_option("CASE.toml", arguments.path, "the case file")->required();
  command.add_option("--set", arguments.overrides, "override a key of the case; may be repeated")
      ->type_name("KEY.PATH=VALUE")
      ->allow_extra_args(false);
}

void add_threads(CLI::App& command, int& threads) {
  constexpr int most = 1024;
  threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  command.add_option("--threads", threads, "modes computed side by side; the results do not depend on it")
      ->type_name("N")
      ->check(CLI::Range(1, most))
      ->capture_default_str();
}

Case read_judged_case(const CaseArguments& arguments, const Console& console) {
  const Case c = read_case(arguments.path, arguments.overrides, share_folder() / "cases" / "tissue");
  std::vector<std::string> judged;
  for (const Layer& layer : c.specimen.layers) {
    if (std::find(judged.begin(), judged.end(), layer.tissue.name) != judged.end()) continue;
    judged.push_back(layer.tissue.name);
    judge_conductor(layer.tissue, c, arguments.path, console);
  }
  return c;
}

void add_keys(CLI::App& app, Action& chosen) {
  CLI::App* command = app.add_subcommand("keys", "list every key of a case file: unit, default, range, meaning");
  const auto markdown = std::make_shared<bool>(false);
  command->add_flag("--markdown", *markdown, "as Markdown tables");
  command->callback([markdown, &chosen] {
    chosen = [markdown] {
      print_result(print_keys(*markdown));
      return exit_done;
    };
  });
}

int command_line(int argc, char** argv) {
  // A file that outgrows its limit is an error to report like any other.
  signal(SIGXFSZ, SIG_IGN);

  CLI::App app(description, "dryfront");
  app.footer(caution);
  app.set_version_flag("--version", fmt::format("dryfront {} ({})", version, source_revision));
  app.require_subcommand(1);
  Action chosen;
  add_run(app, chosen);
  add_check(app, chosen);
  add_keys(app, chosen);
  add_sweep(app, chosen);
  add_merge(app, chosen);
  add_verify(app, chosen);
  add_why(app, chosen);
  add_bases(app, chosen);
  add_find(app, chosen);
  add_figures(app, chosen);
  add_page(app, chosen);

  if (const std::string complaint = unknown_command(app, argc, argv); !complaint.empty()) {
    return fail("usage", complaint, exit_usage);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error, std::cout, std::cerr) == 0 ? exit_done : exit_usage;
  }
  return run_chosen(chosen);
}

}  // namespace dryfront
