#include "commands/drawing_options.hpp"

namespace dryfront {

void add_drawing_options(CLI::App& command, std::string& left, std::string& right, bool& quiet) {
  command.add_option("--left", left, "mode of the left half; the one with the lowest crest factor when not given")
      ->type_name("MODE");
  command.add_option("--right", right, "mode of the right half; the one with the highest crest factor when not given")
      ->type_name("MODE");
  command.add_flag("--quiet", quiet, "print warnings and errors only");
}

}  // namespace dryfront
