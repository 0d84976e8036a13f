// The commands sweep and merge: many runs from one plan, one table from many runs.
#include "commands/sweep.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <optional>

#include "commands/interrupt.hpp"
#include "files/case/case_error.hpp"
#include "install_paths.hpp"
#include "report/console.hpp"
#include "report/progress.hpp"
#include "source_revision.hpp"
#include "studies/sweep/analysis.hpp"
#include "studies/sweep/merge.hpp"
#include "studies/sweep/point.hpp"
#include "studies/sweep/sweep.hpp"

namespace dryfront {
namespace {

struct SweepArguments {
  std::string plan;
  std::string out;  // empty: from the plan's name
  std::string shard;
  bool resume = false;
  int threads = 1;
  bool quiet = false;
};

std::string utc_now() {
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  std::tm broken_down{};
  gmtime_r(&now, &broken_down);
  char text[sizeof "2000-01-01T00:00:00Z"];
  return {text, std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &broken_down)};
}

std::filesystem::path tissue_folder() { return share_folder() / "cases" / "tissue"; }

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

std::string time_left_text(double seconds) {
  const long whole = std::lround(std::ceil(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

// One line that is drawn again and again on a terminal; a line now and then elsewhere.
class SweepLine {
 public:
  SweepLine(const Console& console, bool quiet) : console_(console), quiet_(quiet), terminal_(stderr_is_terminal()) {}
  ~SweepLine() { clear(); }

  void show(const SweepProgress& now) {
    if (quiet_) return;
    constexpr double between_lines = 60;  // in a log [s]
    if (!terminal_ && now.elapsed - last_line_ < between_lines) return;
    last_line_ = now.elapsed;
    const double rate = now.elapsed > 0 ? static_cast<double>(now.computed) / now.elapsed : 0;
    const std::string text = sweep_progress_text(now.earlier + now.computed, now.planned, rate, now.failed);
    if (!terminal_) return console_.say(text);
    std::fprintf(stderr, "\r%-*s", static_cast<int>(drawn_), text.c_str());
    std::fflush(stderr);
    drawn_ = std::max(drawn_, text.size());
  }

  void clear() {
    if (drawn_ > 0) std::fprintf(stderr, "\r%*s\r", static_cast<int>(drawn_), "");
    std::fflush(stderr);
    drawn_ = 0;
  }

 private:
  const Console& console_;
  bool quiet_;
  bool terminal_;
  double last_line_ = 0;
  std::size_t drawn_ = 0;  // characters on the line
};

// Merges the folder's journals, analyses the table, prints what it says.
void merge_and_analyse(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                       const Console& console, bool quiet) {
  const std::vector<std::string> outputs = plan.outputs.empty() ? headline_columns(plan) : plan.outputs;
  MergeReport report;
  {
    ProgressLine progress({1.0}, stderr_is_terminal() && !quiet);
    report = merge_sweep(folder, plan, manifest, outputs, [&progress](double share) { progress.update(0, share); });
  }
  if (report.failed > 0) {
    console.warn(fmt::format("{} of {} runs failed; what is said of the rest may lean towards where runs succeed",
                             report.failed, report.rows));
  }
  if (report.damaged > 0) console.warn(fmt::format("{} damaged records were left out", report.damaged));
  const nlohmann::ordered_json analysis = analysis_json(plan, report.collected);
  write_analysis(folder, analysis);
  console.say(fmt::format("{}: {} rows, {} of them failed; {:.1f} core seconds in all", (folder / "table.h5").string(),
                          report.rows, report.failed, report.computing));
  if (!quiet) print_result(analysis_text(analysis));
}

int sweep(const SweepArguments& arguments) {
  const Console console(arguments.quiet);
  InterruptGuard interrupt;
  const Shard shard = shard_from(arguments.shard);
  const Plan plan = read_plan(arguments.plan, tissue_folder());
  // For its warnings about the tissue; the plan has read it already.
  read_judged_case({plan.case_file.string(), plan.set}, console);

  const std::filesystem::path plan_path = arguments.plan;
  const std::filesystem::path folder = arguments.out.empty() ? plan_path.stem().string() + "_sweep" : arguments.out;
  const ProgramOrigin origin{version, source_revision};
  const std::string started = utc_now();
  // Shards start side by side, so each may find the folder made by another; its own journal it must not find.
  const bool joins = shard.count > 1 && !std::filesystem::exists(journal_path(folder, shard));
  const Manifest manifest = open_folder(folder, plan, plan_path, origin, arguments.resume || joins, started);

  PointComputer computer(plan, folder, origin, started, &interrupt.stop());
  SweepLine line(console, arguments.quiet);
  SweepWork work;
  work.folder = folder;
  work.plan_hash = std::stoull(manifest.plan_hash, nullptr, 16);
  work.columns = static_cast<std::uint32_t>(result_columns(plan).size());
  work.shard = shard;
  work.threads = arguments.threads;
  work.stop = &interrupt.stop();
  work.on_progress = [&line](const SweepProgress& now) { line.show(now); };
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
    constexpr int signal_base = 128;
    return signal_base + interrupt.signal();
  }
  if (shard.count == 1) {
    merge_and_analyse(folder, plan, manifest, console, arguments.quiet);
  } else {
    console.say(fmt::format("when all {} shards are done: dryfront merge {}", shard.count, folder.string()));
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

std::string sweep_progress_text(std::uint64_t done, std::uint64_t planned, double per_second, std::uint64_t failed) {
  const double share = planned == 0 ? 1 : static_cast<double>(done) / static_cast<double>(planned);
  std::string text = fmt::format("{} of {} ({:.1f} %)", done, planned, 100 * share);
  if (per_second > 0) {
    text += fmt::format(", {:.3g} runs/s, about {} left", per_second,
                        time_left_text(static_cast<double>(planned - std::min(done, planned)) / per_second));
  }
  if (failed > 0) text += fmt::format(", {} failed", failed);
  return text;
}

void add_sweep(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<SweepArguments>();
  CLI::App* command = app.add_subcommand("sweep", "compute every point of a plan, one table of all their numbers");
  command->add_option("PLAN.toml", arguments->plan, "the plan: base case, axes, designs")->required();
  command->add_option("--out", arguments->out, "the sweep's folder; PLAN_sweep here when not given")->type_name("DIR");
  command->add_option("--shard", arguments->shard, "only this part of the plan; auto: from a job array's variables")
      ->type_name("i/N|auto");
  command->add_flag("--resume", arguments->resume, "go on with the folder; what is done is not computed again");
  add_threads(*command, arguments->threads);
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only");
  command->callback([arguments, &chosen] { chosen = [arguments] { return sweep(*arguments); }; });
}

void add_merge(CLI::App& app, Action& chosen) {
  struct Arguments {
    std::string folder;
    bool quiet = false;
  };
  const auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand("merge", "one table from the shards of a sweep, and what it says");
  command->add_option("DIR", arguments->folder, "the sweep's folder")->required();
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only");
  command->callback([arguments, &chosen] {
    chosen = [arguments] {
      const Manifest manifest = read_manifest(arguments->folder);
      const Plan plan = plan_of(manifest, tissue_folder());
      merge_and_analyse(arguments->folder, plan, manifest, Console(arguments->quiet), arguments->quiet);
      return exit_done;
    };
  });
}

}  // namespace dryfront
