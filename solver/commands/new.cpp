// The command new: a commented case or plan to start from.
#include <algorithm>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "commands/commands.hpp"
#include "files/case/case_error.hpp"
#include "files/file_place.hpp"
#include "files/file_text.hpp"
#include "files/plan/plan_keys.hpp"
#include "files/share_folder.hpp"
#include "report/commented_case.hpp"
#include "report/console.hpp"

namespace dryfront {
namespace {

constexpr const char* usual_kind = "comparison";

struct NewArguments {
  std::string kind = usual_kind;
  std::string out;  // empty: KIND.toml here; "-": standard output
  bool replace = false;
  bool quiet = false;
};

std::filesystem::path start_folder() { return share_folder() / "cases" / "start"; }

// A kind is a file of the folder.
std::vector<std::string> kinds() {
  std::vector<std::string> names;
  std::error_code absent;
  for (const auto& entry : std::filesystem::directory_iterator(start_folder(), absent)) {
    if (entry.path().extension() == ".toml") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

// The question that a bare case opens with.
std::string question_of(const std::string& bare) {
  constexpr std::string_view before = "# Question: ";
  return bare.starts_with(before) ? bare.substr(before.size(), bare.find('\n') - before.size()) : "";
}

std::string kinds_text() {
  std::string text = "Kinds:\n";
  for (const std::string& kind : kinds()) {
    text += fmt::format("  {:<18} {}\n", kind, question_of(file_text(start_folder() / (kind + ".toml"))));
  }
  return text;
}

void require_kind(const std::string& kind) {
  const std::vector<std::string> known = kinds();
  if (known.empty()) return;  // told when the file is read
  if (std::find(known.begin(), known.end(), kind) != known.end()) return;
  const std::string nearest = nearest_name(kind, known);
  throw CLI::ValidationError(
      "unknown kind '" + kind + "'",
      "\n  allowed: " + joined(known) + (nearest.empty() ? "" : "\n  did you mean '" + nearest + "'?"));
}

int write_new(const NewArguments& arguments) {
  const std::string bare = file_text(start_folder() / (arguments.kind + ".toml"));
  const bool plan = bare.find("\n[[design]]") != std::string::npos;
  const std::string text = plan ? commented_case(bare, plan_sections(), sections()) : commented_case(bare, sections());
  if (arguments.out == "-") {
    print_result(text);
    return exit_done;
  }
  const std::string path = arguments.out.empty() ? arguments.kind + ".toml" : arguments.out;
  FilePlace place(path, arguments.replace);
  place.write(text);
  place.publish();
  const std::string next = plan ? "dryfront sweep " + path : "dryfront run " + path;
  Console(arguments.quiet).say(path + ": change what is yours, then " + next);
  return exit_done;
}

}  // namespace

void add_new(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<NewArguments>();
  CLI::App* command = app.add_subcommand("new", "write a commented case to start from");
  command->add_option("KIND", arguments->kind, "what it is to answer, see below")->capture_default_str();
  command->add_option("--out", arguments->out, "the file; '-' prints it instead; KIND.toml here when not given")
      ->type_name("CASE.toml");
  command->add_flag("--replace", arguments->replace, "overwrite an existing file");
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only");
  command->footer(kinds_text);
  command->callback([arguments, &chosen] {
    require_kind(arguments->kind);
    chosen = [arguments] { return write_new(*arguments); };
  });
}

}  // namespace dryfront
