// The command circuit: the stray current of the whole circuit of a case.
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "files/case/case_file.hpp"
#include "files/share_folder.hpp"
#include "postproc/figures.hpp"
#include "report/stray_current.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

int solve(const CaseArguments& arguments, bool json, const std::string& figure) {
  const Case c = read_case(arguments.path, arguments.overrides, tissue_folder(), CaseUse::circuit);
  const StrayCurrent answers = stray_current(c);
  print_result(json ? json_text(stray_current_json(c, answers, version, arguments.path)) + "\n"
                    : stray_current_text(c, answers));
  if (figure.empty()) return exit_done;
  return make_answer_figure({share_folder() / "postproc",
                             "bench_figure.py",
                             {"circuit"},
                             json_text(stray_current_json(c, answers, version, arguments.path)),
                             figure});
}

}  // namespace

void add_circuit(CLI::App& app, Action& chosen) {
  struct Arguments {
    CaseArguments of_case;
    bool json = false;
    std::string figure;
  };
  const auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("circuit", "the current that strays into a conductor beside the lead, touching and held open");
  add_case_arguments(*command, arguments->of_case);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->add_option("--figure", arguments->figure, "a picture to draw besides: .svg, .png or .pdf")
      ->type_name("FILE");
  command->callback([arguments, &chosen] {
    chosen = [arguments] { return solve(arguments->of_case, arguments->json, arguments->figure); };
  });
}

}  // namespace dryfront
