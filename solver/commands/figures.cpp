#include "commands/figures.hpp"

#include <memory>

#include "install_paths.hpp"
#include "postproc/figures.hpp"

namespace dryfront {
namespace {

void add_choices(CLI::App& command, std::string& left, std::string& right, bool& quiet) {
  command.add_option("--left", left, "mode of the left half; the one with the lowest crest factor when not given")
      ->type_name("DRIVE");
  command.add_option("--right", right, "mode of the right half; the one with the highest crest factor when not given")
      ->type_name("DRIVE");
  command.add_flag("--quiet", quiet, "print warnings and errors only");
}

}  // namespace

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
  add_choices(*command, request->left, request->right, request->quiet);
  command->callback([request, &chosen] {
    chosen = [request] {
      request->scripts = share_folder() / "postproc";
      return make_figures(*request);
    };
  });
}

void add_page(CLI::App& app, Action& chosen) {
  const auto request = std::make_shared<PageRequest>();
  CLI::App* command = app.add_subcommand("page", "write one html page of a run file that opens without a network");
  command->add_option("FILE.h5", request->file, "the run file")->required();
  command->add_option("--out", request->out, "the page; FILE.html when not given")->type_name("FILE.html");
  add_choices(*command, request->left, request->right, request->quiet);
  command->callback([request, &chosen] {
    chosen = [request] {
      request->scripts = share_folder() / "postproc";
      return make_page(*request);
    };
  });
}

}  // namespace dryfront
