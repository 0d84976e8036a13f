#include "commands/command_line.hpp"

#include <signal.h>

#include <algorithm>
#include <cstdio>
#include <iostream>
#include <new>
#include <system_error>

#include <fmt/format.h>

#include "commands/commands.hpp"
#include "files/case/case_error.hpp"
#include "files/caution.hpp"
#include "files/file_error.hpp"
#include "files/standard_streams.hpp"
#include "postproc/figures.hpp"
#include "report/wrapped_text.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

constexpr const char* description =
    "dryfront computes how deep an electrosurgical electrode desiccates tissue, and how that depth depends on the\n"
    "waveform and the source behind it.";

// Behind the list of commands.
std::string footer() {
  return wrapped(std::string(caution) + " The model knows neither the patient nor the instrument.") +
         "\nExit codes: 0 done, 1 usage, 2 bad case, 3 numerical failure, 4 file or disk,\n"
         "130, 141 and 143 ended by SIGINT (Ctrl-C), SIGPIPE (nobody reads the output) and SIGTERM.";
}

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
  } catch (const FileExists& error) {
    return fail("error", std::string(error.what()) + "; give another name with --out, or --replace", exit_file);
  } catch (const FileError& error) {
    return fail("error", error.what(), exit_file);
  } catch (const FigureError& error) {
    return fail("error", error.what(), exit_file);
  } catch (const std::bad_alloc&) {
    return fail("error", "not enough memory; a coarser grid needs less (grid.fine_mm, grid.coarse_mm)", exit_numbers);
  } catch (const std::system_error& error) {
    if (error.code() != std::errc::resource_unavailable_try_again) throw;
    return fail("error", "the system gives no thread more: too little memory or too many processes", exit_numbers);
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

}  // namespace

int command_line(int argc, char** argv) {
  hold_standard_descriptors();
  // A file that outgrows its limit is an error to report like any other.
  signal(SIGXFSZ, SIG_IGN);

  CLI::App app(description, "dryfront");
  app.footer(footer());
  app.set_version_flag("--version", fmt::format("dryfront {} ({})", version, source_revision));
  app.require_subcommand(1);
  Action chosen;
  for (AddCommand* add : all_commands) add(app, chosen);

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
