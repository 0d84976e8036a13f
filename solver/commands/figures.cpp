// The command figures: pictures of run files.

#include <memory>

#include "commands/commands.hpp"
#include "commands/drawing_options.hpp"
#include "files/share_folder.hpp"
#include "postproc/figures.hpp"

namespace dryfront {

void add_figures(CLI::App& app, Action& chosen) {
  const auto request = std::make_shared<FigureRequest>();
  CLI::App* command = app.add_subcommand("figures", "draw the figures of a run file, or a contact sheet of several");
  command->add_option("FILE.h5", request->files, "run files: one for all its figures, several for a contact sheet")
      ->required();
  command->add_option("--out", request->out, "the folder for them, made when missing; FILE_figures when not given")
      ->type_name("DIR");
  command->add_option("--format", request->format, "of the figures; handouts are pdf always")
      ->check(CLI::IsMember({"svg", "png", "pdf"}))
      ->capture_default_str();
  constexpr int most_specimens_on_sheet = 100, most_seed = 1000000;
  auto* kit = command->add_flag("--kit", request->kit, "draw the bench kit too: pages to print for repeating it");
  command->add_option("--seed", request->seed, "which order of the modes the kit's record sheet has")
      ->needs(kit)
      ->check(CLI::Range(0, most_seed))
      ->capture_default_str();
  command->add_option("--specimens", request->specimens, "per mode on the kit's record sheet")
      ->needs(kit)
      ->check(CLI::Range(1, most_specimens_on_sheet))
      ->capture_default_str();
  add_drawing_options(*command, request->left, request->right, request->quiet);
  command->callback([request, &chosen] {
    if (request->kit && request->files.size() > 1) {
      throw CLI::ValidationError("--kit", "is of one run file, and several are given");
    }
    chosen = [request] {
      request->scripts = share_folder() / "postproc";
      return make_figures(*request);
    };
  });
}

}  // namespace dryfront
