// The command circuit: the stray current of the whole circuit of a case.
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "files/case/case_file.hpp"
#include "report/stray_current.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

int solve(const CaseArguments& arguments, bool json) {
  const Case c = read_case(arguments.path, arguments.overrides, tissue_folder(), CaseUse::circuit);
  const StrayCurrent answers = stray_current(c);
  print_result(json ? json_text(stray_current_json(c, answers, version, arguments.path)) + "\n"
                    : stray_current_text(c, answers));
  return exit_done;
}

}  // namespace

void add_circuit(CLI::App& app, Action& chosen) {
  struct Arguments {
    CaseArguments of_case;
    bool json = false;
  };
  const auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("circuit", "the current that strays into a conductor beside the lead, touching and held open");
  add_case_arguments(*command, arguments->of_case);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->callback(
      [arguments, &chosen] { chosen = [arguments] { return solve(arguments->of_case, arguments->json); }; });
}

}  // namespace dryfront
