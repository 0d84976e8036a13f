// The command merge: one table from many runs.
#include <fmt/format.h>

#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "commands/sweep.hpp"
#include "files/file_error.hpp"
#include "report/progress.hpp"
#include "report/sweep_analysis.hpp"
#include "studies/sweep/analysis.hpp"
#include "studies/sweep/merge.hpp"

namespace dryfront {

namespace {

// With advice for a sweep that is not complete.
MergeReport merged(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                   const std::vector<std::string>& outputs, bool quiet) {
  ProgressLine progress({1.0}, quiet);
  try {
    return merge_sweep(folder, plan, manifest, outputs, [&progress](double share) { progress.update(0, share); });
  } catch (const RowsMissing& error) {
    throw FileError(error, "finish them by sweep --resume");
  }
}

}  // namespace

void merge_and_analyse(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                       const Console& console, bool quiet) {
  const std::vector<std::string> outputs = plan.outputs.empty() ? headline_columns(plan) : plan.outputs;
  const MergeReport report = merged(folder, plan, manifest, outputs, quiet);
  if (report.damaged > 0) console.warn(fmt::format("{} damaged records were left out", report.damaged));
  const nlohmann::ordered_json analysis = analysis_json(plan, report.collected);
  write_analysis(folder, analysis);
  console.say(fmt::format("{}: {} rows, {} of them failed; {:.1f} core seconds in all", (folder / "table.h5").string(),
                          report.rows, report.failed, report.computing));
  if (!quiet) print_result(analysis_text(analysis));
  if (report.failed > 0) {  // the last line, so that it is seen
    console.warn(
        fmt::format("{} of {} runs failed; what is said of the rest may lean towards where runs "
                    "succeed; status "
                    "and reason stand in the table, sweep --resume --retry-failed computes them again",
                    report.failed, report.rows));
  }
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
