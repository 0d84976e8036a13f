// The command sweep: many runs from one plan.
#include "commands/sweep.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cstdlib>
#include <memory>
#include <optional>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/memory.hpp"
#include "files/case/case_error.hpp"
#include "files/file_error.hpp"
#include "files/utc_now.hpp"
#include "report/progress.hpp"
#include "report/sweep_outlook.hpp"
#include "source_revision.hpp"
#include "studies/sweep/point.hpp"
#include "studies/sweep/sweep.hpp"

namespace dryfront {
namespace {

struct SweepArguments {
  std::string plan;
  std::string out;  // empty: from the plan's name
  std::string shard;
  bool resume = false;
  bool retry_failed = false;
  bool dry_run = false;
  int threads = 1;
  bool quiet = false;
};

std::optional<std::uint32_t> whole_number(std::string_view text) {
  std::uint32_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return number;
}

[[noreturn]] void refuse_shard(const std::string& given, const std::string& what) {
  throw CaseError({"--shard", what, given, "i/N with 1 <= i <= N, or auto inside a job array", ""});
}

Shard shard_of_array() {
  const auto variable = [](const char* name) {
    const char* text = std::getenv(name);
    return text == nullptr ? std::nullopt : whole_number(text);
  };
  const auto id = variable("SLURM_ARRAY_TASK_ID"), count = variable("SLURM_ARRAY_TASK_COUNT");
  if (!id || !count) refuse_shard("auto", "finds no SLURM_ARRAY_TASK_ID and SLURM_ARRAY_TASK_COUNT");
  const std::uint32_t least = variable("SLURM_ARRAY_TASK_MIN").value_or(0);
  const std::uint32_t greatest = variable("SLURM_ARRAY_TASK_MAX").value_or(least + *count - 1);
  if (*count == 0 || greatest - least + 1 != *count || *id < least || *id > greatest) {
    refuse_shard("auto", "finds a job array with gaps, whose tasks do not say which shard they are");
  }
  return {*id - least + 1, *count};
}

// With advice for a folder that is taken.
Manifest opened_folder(const std::filesystem::path& folder, const Plan& plan, const std::filesystem::path& plan_path,
                       const ProgramOrigin& origin, bool may_exist, const std::string& started) {
  try {
    return open_folder(folder, plan, plan_path, origin, may_exist, started);
  } catch (const FileExists& error) {
    throw FileError(error, "go on with it by --resume, or give another folder with --out");
  }
}

// What the sweep would be; nothing is written.
int look_ahead(const Plan& plan, int threads, const Console& console, const InterruptGuard& interrupt) {
  constexpr double patience = 10;  // [s]
  const SweepOutlook found = outlook(plan, threads, patience, interrupt.stop());
  if (interrupt.signal() != 0) return exit_of_signal(interrupt.signal());
  print_result(sweep_outlook_text(found, threads));
  warn_of_memory(console, found.memory);
  return exit_done;
}

int sweep(const SweepArguments& arguments) {
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Shard shard = shard_from(arguments.shard);
  const Plan plan = read_plan(arguments.plan, tissue_folder());
  // For its warnings about the tissue; the plan has read it already.
  // Of shards, which start together, one warns.
  if (shard.number == 1) read_judged_case({plan.case_file.string(), plan.set}, console);

  if (arguments.dry_run) return look_ahead(plan, arguments.threads, console, interrupt);

  const std::filesystem::path plan_path = arguments.plan;
  const std::filesystem::path folder = arguments.out.empty() ? plan_path.stem().string() + "_sweep" : arguments.out;
  const ProgramOrigin origin{version, source_revision};
  const std::string started = utc_now();
  // Shards start side by side, so each may find the folder made by another; its own journal it must not find.
  const bool joins = shard.count > 1 && !std::filesystem::exists(journal_path(folder, shard));
  const Manifest manifest = opened_folder(folder, plan, plan_path, origin, arguments.resume || joins, started);

  PointComputer computer(plan, folder, origin, started, &interrupt.stop());
  constexpr double between_log_lines = 60;  // where standard error is no terminal [s]
  StatusLine line(!arguments.quiet, between_log_lines);
  SweepWork work;
  work.folder = folder;
  work.plan_hash = text_hash(manifest.decides);
  work.columns = static_cast<std::uint32_t>(result_columns(plan).size());
  work.shard = shard;
  work.threads = arguments.threads;
  work.retry_failed = arguments.retry_failed;
  work.lacks_file = [&computer, &folder](std::uint64_t point) {
    return computer.keeps(point) && !std::filesystem::exists(kept_run_path(folder, point));
  };
  work.stop = &interrupt.stop();
  work.on_progress = [&line](const SweepProgress& now) { line.show(sweep_progress_text(now), now.elapsed); };
  work.compute = [&computer](std::uint64_t point, const std::vector<AxisSetting>& settings) {
    return computer.compute(point, settings);
  };
  const SweepProgress reached = run_sweep(plan, work);
  line.clear();

  console.say(fmt::format("{}: {} of {} runs done, {} of them now in {:.1f} s, {} failed", folder.string(),
                          reached.earlier + reached.computed, reached.planned, reached.computed, reached.elapsed,
                          reached.failed));
  if (interrupt.signal() != 0 && reached.earlier + reached.computed < reached.planned) {
    console.warn("interrupted; go on with --resume");
    return exit_of_signal(interrupt.signal());
  }
  if (shard.count == 1) {
    merge_and_analyse(folder, plan, manifest, console, arguments.quiet);
  } else {
    console.say(fmt::format("when all {} shards are done: dryfront merge {}", shard.count, folder.string()));
    if (reached.failed > 0) console.warn(fmt::format("{} of {} runs failed", reached.failed, reached.planned));
  }
  return exit_done;
}

}  // namespace

Shard shard_from(const std::string& text) {
  if (text.empty()) return {};
  if (text == "auto") return shard_of_array();
  const std::size_t slash = text.find('/');
  if (slash == std::string::npos) refuse_shard(text, "is no part of a plan");
  const auto number = whole_number(std::string_view(text).substr(0, slash));
  const auto count = whole_number(std::string_view(text).substr(slash + 1));
  if (!number || !count || *number < 1 || *number > *count) refuse_shard(text, "is no part of a plan");
  return {*number, *count};
}

void add_sweep(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<SweepArguments>();
  CLI::App* command = app.add_subcommand("sweep", "compute every point of a plan, one table of all their numbers");
  command->add_option("PLAN.toml", arguments->plan, "the plan: base case, axes, designs")->required();
  command->add_option("--out", arguments->out, "the sweep's folder; PLAN_sweep here when not given")->type_name("DIR");
  command->add_option("--shard", arguments->shard, "only this part of the plan; auto: from a job array's variables")
      ->type_name("i/N|auto");
  command->add_flag("--resume", arguments->resume, "go on with the folder; what is done is not computed again");
  command
      ->add_flag("--retry-failed", arguments->retry_failed,
                 "with --resume: what failed is computed again, "
                 "all of it")
      ->needs("--resume");
  command
      ->add_flag("--dry-run", arguments->dry_run,
                 "say how many points there are, what they cost and which "
                 "are refused")
      ->excludes("--resume");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only");
  command->callback([arguments, &chosen] { chosen = [arguments] { return sweep(*arguments); }; });
}

}  // namespace dryfront
