// The command figures: pictures of run files.

#include <memory>

#include "commands/commands.hpp"
#include "commands/drawing_options.hpp"
#include "install_paths.hpp"
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
  add_drawing_options(*command, request->left, request->right, request->quiet);
  command->callback([request, &chosen] {
    chosen = [request] {
      request->scripts = share_folder() / "postproc";
      return make_figures(*request);
    };
  });
}

}  // namespace dryfront
