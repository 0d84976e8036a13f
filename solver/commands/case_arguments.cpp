#include "commands/case_arguments.hpp"

#include <algorithm>
#include <thread>

#include "files/case/case_file.hpp"
#include "files/case/conductor.hpp"
#include "files/share_folder.hpp"

namespace dryfront {

void add_case_arguments(CLI::App& command, CaseArguments& arguments) {
  command.add_option("CASE.toml", arguments.path, "the case file")->required();
  command.add_option("--set", arguments.overrides, "override a key of the case; may be repeated")
      ->type_name("KEY.PATH=VALUE")
      ->allow_extra_args(false);
}

void add_threads(CLI::App& command, int& threads) {
  constexpr int most = 1024;
  threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  command.add_option("--threads", threads, "runs computed side by side; the results do not depend on it")
      ->type_name("N")
      ->check(CLI::Range(1, most))
      ->capture_default_str();
}

std::filesystem::path tissue_folder() { return share_folder() / "cases" / "tissue"; }

JudgedCase read_judged_case(const CaseArguments& arguments, const Console& console) {
  JudgedCase judged = read_and_judge(arguments.path, arguments.overrides, tissue_folder());
  for (const std::string& warning : conductor_warnings(judged.c, arguments.path)) console.warn(warning);
  for (const CaseWarning& warning : judged.warnings) console.warn(warning_text(warning));
  return judged;
}

}  // namespace dryfront
