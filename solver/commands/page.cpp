// The command page: one html page of a run file.
#include <memory>

#include "commands/commands.hpp"
#include "commands/drawing_options.hpp"
#include "files/share_folder.hpp"
#include "postproc/figures.hpp"

namespace dryfront {

void add_page(CLI::App& app, Action& chosen) {
  const auto request = std::make_shared<PageRequest>();
  CLI::App* command = app.add_subcommand("page", "write one html page of a run file that opens without a network");
  command->add_option("FILE.h5", request->file, "the run file")->required();
  command->add_option("--out", request->out, "the page; FILE.html when not given")->type_name("FILE.html");
  add_drawing_options(*command, request->left, request->right, request->quiet);
  command->callback([request, &chosen] {
    chosen = [request] {
      request->scripts = share_folder() / "postproc";
      return make_page(*request);
    };
  });
}

}  // namespace dryfront
