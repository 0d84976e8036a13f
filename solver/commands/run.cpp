// The command run: one case, its run file, its comparison.
#include <fmt/format.h>

#include <chrono>
#include <exception>
#include <memory>
#include <mutex>
#include <optional>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "commands/interrupt.hpp"
#include "commands/interval_options.hpp"
#include "commands/memory.hpp"
#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/file_error.hpp"
#include "files/json.hpp"
#include "files/run_file/checkpoint.hpp"
#include "files/run_file/summary_json.hpp"
#include "files/run_file/writer.hpp"
#include "files/utc_now.hpp"
#include "report/comparison.hpp"
#include "report/pair_sentences.hpp"
#include "report/progress.hpp"
#include "report/range_warning.hpp"
#include "report/specimens.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

struct RunArguments {
  CaseArguments of_case;
  std::string out;  // empty: from the case's name; "-": no file
  bool replace = false;
  bool resume = false;
  int threads = 1;
  bool json = false;
  bool quiet = false;
  IntervalArguments interval;
};

std::string run_file_name(const RunArguments& arguments) {
  if (!arguments.out.empty()) return arguments.out;
  return std::filesystem::path(arguments.of_case.path).stem().string() + ".h5";
}

// The first failure to write a frame: it ends the computation and is thrown again from its end.
class FrameSink {
 public:
  FrameSink(RunFileWriter& file, InterruptGuard& interrupt) : file_(file), interrupt_(interrupt) {}

  void add(int mode, const Frame& frame) noexcept {
    {
      const std::lock_guard lock(mutex_);
      if (failure_) return;
    }
    try {
      file_.add_frame(mode, frame);
    } catch (...) {
      const std::lock_guard lock(mutex_);
      if (!failure_) failure_ = std::current_exception();
      interrupt_.request_stop();
    }
  }
  bool failed() const { return failure_ != nullptr; }
  void rethrow() const {
    if (failure_) std::rethrow_exception(failure_);
  }

 private:
  RunFileWriter& file_;
  InterruptGuard& interrupt_;
  std::mutex mutex_;
  std::exception_ptr failure_;
};

// What became of the frames of a run that did not reach its end.
std::string fate_of(RunFileWriter& file) {
  try {
    return file.leave_unfinished() ? fmt::format("the frames up to here are in {} (marked unfinished)", file.part())
                                   : "no file was written";
  } catch (const FileError& error) {
    return fmt::format("no file was written ({})", error.what());
  }
}

bool all_completed(const std::vector<ModeRecord>& records) {
  for (const ModeRecord& record : records) {
    if (!record.completed) return false;
  }
  return true;
}

void add_records(RunFileWriter& file, const std::vector<ModeRecord>& records) {
  for (std::size_t k = 0; k < records.size(); ++k) file.add_record(static_cast<int>(k), records[k]);
}

// The case, its run file if any, and where every mode stood when the run was stopped.
struct StoppedRun {
  const std::string& path;
  std::optional<RunFileWriter>& file;
  const std::vector<ModeRecord>& records;
  RunCheckpoint& checkpoint;
};

// Leaves the frames and a checkpoint, from which --resume goes on.
int leave_interrupted(const Console& console, int signal, const StoppedRun& run) {
  std::string message = "interrupted";
  if (run.file) {
    for (std::size_t k = 0; k < run.records.size(); ++k) {
      if (run.records[k].completed) run.checkpoint.modes[k].recording.record = run.records[k];
    }
    add_records(*run.file, run.records);
    try {
      run.file->leave_unfinished(true);
      message += fmt::format("; the frames up to here are in {} (marked unfinished)", run.file->part());
      write_checkpoint(checkpoint_path(run.path), run.checkpoint);
      message += "; the same command with --resume goes on from here";
    } catch (const FileError& error) {
      message += fmt::format("; it cannot be resumed ({})", error.what());
    }
  }
  console.warn(message);
  return exit_of_signal(signal);
}

// A new run file, or the one an interrupted run has left; `from` then receives where that run stood.
void open_file(std::optional<RunFileWriter>& file, std::optional<RunCheckpoint>& from, const RunArguments& arguments,
               const std::string& path, const Case& c, const Grid& grid, const Console& console) {
  if (path == "-") return;
  if (arguments.resume) {
    from = read_checkpoint(checkpoint_path(path), resolved_toml(c), source_revision);
    file.emplace(path, arguments.replace, c, grid, *from);
    return;
  }
  file.emplace(path, arguments.replace, c, grid, RunOrigin{resolved_toml(c), version, source_revision, utc_now()});
  if (file->took_over()) {
    console.warn(fmt::format("the unfinished {} of an earlier run is written anew", file->part()));
  }
  remove_checkpoint(checkpoint_path(path));  // it would go on with frames that are gone
}

// What a run says beside its numbers, as JSON.
struct RunSupplements {
  nlohmann::ordered_json warnings, specimens;
};

// Warns of what only the run could show: limits that the load at the start passes, temperatures past the model's range.
void warn_after_run(const Console& console, JudgedCase& judged, const std::vector<ModeRecord>& records) {
  for (std::size_t k = 0; k < records.size(); ++k) {
    for (const CaseWarning& warning :
         limit_at_start_warning(judged.c.modes[k], records[k].resistance_start, judged.limit_places[k])) {
      console.warn(warning_text(warning));
      judged.warnings.push_back(warning);
    }
  }
  for (const ModeRecord& record : records) warn_past_range(console, record);
}

void print(const RunArguments& arguments, const Case& c, const Grid& grid, double wall_s,
           const std::vector<ModeRecord>& records, const IntervalAnswer& interval, const RunSupplements& beside) {
  if (arguments.json) {
    auto object = summary_json(c, {version, arguments.of_case.path, grid.cells(), wall_s}, records);
    object["interval"] = interval_json(interval);
    object["warnings"] = beside.warnings;
    object["specimens"] = beside.specimens;
    print_result(json_text(object) + "\n");
  } else if (!arguments.quiet) {
    print_result(comparison(c, grid, records, interval));
  }
}

// How long each mode is followed [s].
std::vector<double> watched_times(const Case& c) {
  std::vector<double> times;
  for (const Mode& mode : c.modes) times.push_back(mode.activation + mode.after);
  return times;
}

// The last of a run file: records, interval, its proper name; the checkpoint goes.
void finish(RunFileWriter& file, const std::string& path, const std::vector<ModeRecord>& records,
            const nlohmann::ordered_json& pairs, const IntervalAnswer& interval, const RunSupplements& beside,
            double wall) {
  add_records(file, records);
  file.set_pairs(json_text(pairs));
  file.set_warnings(json_text(beside.warnings));
  file.set_specimens(json_text(beside.specimens));
  file.set_interval(json_text(interval_json(interval)));
  file.finish(wall);
  remove_checkpoint(checkpoint_path(path));
}

IntervalAnswer interval_not_asked_for() {
  IntervalAnswer answer;
  answer.reason = "not asked for; dryfront run CASE.toml --interval computes it";
  return answer;
}

IntervalAnswer interval_over(const IntervalRanges& ranges, const RunArguments& arguments, InterruptGuard& interrupt) {
  return compute_interval(arguments.interval, arguments.of_case, ranges, arguments.threads, interrupt, arguments.quiet);
}

int run_case(const RunArguments& arguments) {
  const auto start = std::chrono::steady_clock::now();
  const Console console(arguments.quiet);
  InterruptGuard interrupt;  // from here on a signal leaves no stray file
  JudgedCase judged = read_judged_case(arguments.of_case, console);
  const Case& c = judged.c;
  const Grid grid = case_grid(c);
  warn_of_memory(console, memory_of_run(c, grid, arguments.threads));
  // Before the run, so that a mistake in the ranges is not told after it.
  std::optional<IntervalRanges> ranges;
  if (arguments.interval.points > 0) ranges = interval_ranges(arguments.interval, arguments.of_case, c);

  const std::string path = run_file_name(arguments);
  std::optional<RunCheckpoint> from;
  std::optional<RunFileWriter> file;
  open_file(file, from, arguments, path, c, grid, console);
  std::optional<FrameSink> sink;
  if (file) sink.emplace(*file, interrupt);
  ProgressLine progress(watched_times(c), arguments.quiet);

  Observer observer;
  if (sink) observer.frame = [&sink](int mode, const Frame& frame) { sink->add(mode, frame); };
  observer.progress = [&progress](int mode, double time, double) {
    progress.update(static_cast<std::size_t>(mode), time);
  };
  observer.stop = &interrupt.stop();
  RunCheckpoint checkpoint{resolved_toml(c), source_revision, 0, std::vector<ModeCheckpoint>(c.modes.size())};
  observer.checkpoint = [&checkpoint](int mode, const ModeCheckpoint& at) {
    checkpoint.modes[static_cast<std::size_t>(mode)] = at;
  };

  std::vector<ModeRecord> records;
  try {
    records = run(c, grid, observer, arguments.threads, from ? from->modes : std::vector<ModeCheckpoint>());
  } catch (const NumericalFailure&) {
    progress.clear();
    if (file && !sink->failed()) console.warn("the run broke off; " + fate_of(*file));
    throw;
  }
  progress.clear();
  if (sink) sink->rethrow();
  const std::chrono::duration<double> here = std::chrono::steady_clock::now() - start;
  const double wall = (from ? from->wall_s : 0) + here.count();
  if (interrupt.signal() != 0 && !all_completed(records)) {
    checkpoint.wall_s = wall;
    return leave_interrupted(console, interrupt.signal(), {path, file, records, checkpoint});
  }

  const IntervalAnswer interval = ranges ? interval_over(*ranges, arguments, interrupt) : interval_not_asked_for();
  warn_after_run(console, judged, records);
  const RunSupplements beside{warnings_json(judged.warnings), specimens_json(c, needed_specimens(c, grid, records))};
  if (file) {
    finish(*file, path, records, pair_sentences_json(c, grid, records), interval, beside, wall);
    console.say(fmt::format("{}: {} modes on {} cells in {:.1f} s", path, records.size(), grid.cells(), wall));
  }
  print(arguments, c, grid, wall, records, interval, beside);
  if (!ranges || interval.interval) return exit_done;
  console.warn("the run is complete, but it has no interval: " + interval.reason);
  return interrupt.signal() != 0 ? exit_of_signal(interrupt.signal()) : exit_numbers;
}

}  // namespace

void add_run(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<RunArguments>();
  CLI::App* command = app.add_subcommand("run", "compute a case, write its run file, print the comparison");
  add_case_arguments(*command, arguments->of_case);
  command->add_option("--out", arguments->out, "the run file; '-' writes none; CASE.h5 here when not given")
      ->type_name("FILE.h5");
  command->add_flag("--replace", arguments->replace, "overwrite an existing file");
  command->add_flag("--resume", arguments->resume, "go on with an interrupted run from FILE.h5.checkpoint");
  add_interval(*command, arguments->interval);
  add_threads(*command, arguments->threads);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the table");
  command->add_flag("--quiet", arguments->quiet, "print warnings and errors only (and the JSON object)");
  command->callback([arguments, &chosen] {
    if (arguments->resume && arguments->out == "-") {
      throw CLI::ValidationError("--resume", "goes on with a run file, and --out - writes none");
    }
    chosen = [arguments] { return run_case(*arguments); };
  });
}

}  // namespace dryfront
