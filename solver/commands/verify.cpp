// The command verify: the built-in checks against exact solutions.
#include <algorithm>
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "report/verification.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

struct VerifyArguments {
  bool quick = false;
  bool json = false;
  bool markdown = false;
  std::vector<std::string> only;
  int threads = 1;
};

int verify_checks(const VerifyArguments& arguments) {
  std::vector<VerificationCheck> checks = verification_checks();
  if (!arguments.only.empty()) {
    std::erase_if(checks, [&](const VerificationCheck& check) {
      return std::find(arguments.only.begin(), arguments.only.end(), check.id) == arguments.only.end();
    });
  }
  const std::vector<VerifiedCheck> verified =
      verify(checks, arguments.quick ? Effort::quick : Effort::full, arguments.threads);
  print_result(arguments.json       ? verification_json(verified)
               : arguments.markdown ? verification_markdown(verified)
                                    : verification_text(verified));
  const bool passed = std::all_of(verified.begin(), verified.end(), [](const VerifiedCheck& c) { return c.passed(); });
  return passed ? exit_done : exit_numbers;
}

std::vector<std::string> check_names() {
  std::vector<std::string> names;
  for (const VerificationCheck& check : verification_checks()) names.push_back(check.id);
  return names;
}

}  // namespace

void add_verify(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<VerifyArguments>();
  CLI::App* command = app.add_subcommand("verify", "run the built-in checks against exact solutions and print a table");
  command->add_flag("--quick", arguments->quick, "the coarser grids only");
  CLI::Option* json = command->add_flag("--json", arguments->json, "as one JSON object");
  command->add_flag("--markdown", arguments->markdown, "as Markdown tables")->excludes(json);
  command->add_option("--only", arguments->only, "checks to run; may be repeated")
      ->type_name("CHECK")
      ->allow_extra_args(false)
      ->check(CLI::IsMember(check_names()));
  add_threads(*command, arguments->threads);
  command->callback([arguments, &chosen] { chosen = [arguments] { return verify_checks(*arguments); }; });
}

}  // namespace dryfront
