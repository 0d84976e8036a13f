// The command pad: what the contact monitor of a split return electrode reads while the pad comes off.
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "files/case/case_file.hpp"
#include "files/share_folder.hpp"
#include "postproc/figures.hpp"
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

struct PadArguments {
  CaseArguments of_case;
  int threads = 1;
  bool json = false;
  std::string figure;
};

// The case's own way beside along and across, and the pad from above in the middle of the shares.
int draw(const Case& c, const PadReadings& readings, const PadArguments& arguments) {
  PadPicture picture;
  picture.pads.push_back(*c.pad);
  picture.readings.push_back(readings);
  for (const Peel peel : {Peel::along, Peel::across}) {
    if (peel == c.pad->peel) continue;
    picture.pads.push_back(*c.pad);
    picture.pads.back().peel = peel;
    picture.readings.push_back(readings_of(picture.pads.back(), arguments.threads));
  }
  picture.seen_at = c.pad->peeled[c.pad->peeled.size() / 2];
  if (!pad_impedance(*c.pad, picture.seen_at, &picture.pieces)) {
    picture.pieces = pad_pieces(*c.pad, picture.seen_at, 16);
  }
  return make_answer_figure({share_folder() / "postproc",
                             "bench_figure.py",
                             {"pad"},
                             json_text(pad_picture_json(c.title, picture)),
                             arguments.figure});
}

int solve(const PadArguments& arguments) {
  const Case c = read_case(arguments.of_case.path, arguments.of_case.overrides, tissue_folder(), CaseUse::pad);
  const PadReadings readings = readings_of(*c.pad, arguments.threads);
  print_result(arguments.json
                   ? json_text(split_pad_json(c.title, *c.pad, readings, version, arguments.of_case.path)) + "\n"
                   : split_pad_text(c.title, *c.pad, readings));
  return arguments.figure.empty() ? exit_done : draw(c, readings, arguments);
}

}  // namespace

void add_pad(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<PadArguments>();
  CLI::App* command =
      app.add_subcommand("pad", "what the contact monitor of a split return electrode reads while the pad comes off");
  add_case_arguments(*command, arguments->of_case);
  add_threads(*command, arguments->threads);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->add_option("--figure", arguments->figure, "a picture to draw besides: .svg, .png or .pdf")
      ->type_name("FILE");
  command->callback([arguments, &chosen] { chosen = [arguments] { return solve(*arguments); }; });
}

}  // namespace dryfront
