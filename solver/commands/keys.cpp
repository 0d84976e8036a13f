// The command keys: the table of keys of a case file.
#include <memory>

#include "commands/commands.hpp"
#include "files/case/key_table.hpp"
#include "report/console.hpp"

namespace dryfront {

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

}  // namespace dryfront
