// The command pad: what the contact monitor of a split return electrode reads while the pad comes off.
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "files/case/case_file.hpp"
#include "report/split_pad.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"
#include "studies/parallel_runs.hpp"

namespace dryfront {
namespace {

PadReadings readings_of(const SplitPad& pad, int threads) {
  PadReadings readings;
  readings.impedance.resize(pad.peeled.size());
  run_in_parallel(pad.peeled.size(), {threads, nullptr}, [&](std::size_t k) {
    try {
      readings.impedance[k] = pad_impedance(pad, pad.peeled[k]);
    } catch (const std::runtime_error& failure) {
      throw NumericalFailure(failure.what());
    }
  });
  find_readings(pad, readings);
  return readings;
}

int solve(const CaseArguments& arguments, int threads, bool json) {
  const Case c = read_case(arguments.path, arguments.overrides, tissue_folder(), CaseUse::pad);
  const PadReadings readings = readings_of(*c.pad, threads);
  print_result(json ? json_text(split_pad_json(c.title, *c.pad, readings, version, arguments.path)) + "\n"
                    : split_pad_text(c.title, *c.pad, readings));
  return exit_done;
}

}  // namespace

void add_pad(CLI::App& app, Action& chosen) {
  struct Arguments {
    CaseArguments of_case;
    int threads = 1;
    bool json = false;
  };
  const auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("pad", "what the contact monitor of a split return electrode reads while the pad comes off");
  add_case_arguments(*command, arguments->of_case);
  add_threads(*command, arguments->threads);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->callback([arguments, &chosen] {
    chosen = [arguments] { return solve(arguments->of_case, arguments->threads, arguments->json); };
  });
}

}  // namespace dryfront
