#include "commands/study_case.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "files/case/case_file.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

}  // namespace

CaseArguments study_arguments(const CaseArguments& arguments, bool fine) {
  constexpr double fine_cell = 5e-5, growth = 1.12, tolerance = 4;
  CaseArguments coarser{arguments.path, {}};
  if (!fine) {
    const Case c = read_case(arguments.path, arguments.overrides, tissue_folder());
    if (c.grading.fine < fine_cell) coarser.overrides.push_back(fmt::format("grid.fine_mm={:.2f}", fine_cell / mm));
    if (c.grading.growth < growth) coarser.overrides.push_back(fmt::format("grid.growth={:.2f}", growth));
    if (c.time.tolerance < tolerance) coarser.overrides.push_back(fmt::format("time.tolerance={:.1f}", tolerance));
  }
  // Those of the user come last and win.
  coarser.overrides.insert(coarser.overrides.end(), arguments.overrides.begin(), arguments.overrides.end());
  return coarser;
}

void leave_out_watching(Case& c) {
  c.output.frames = 1;
  std::erase_if(c.probes, [&c](const Probe& probe) {
    return std::none_of(c.modes.begin(), c.modes.end(), [&probe](const Mode& mode) {
      return mode.source.kind == SourceKind::temperature && mode.source.probe == probe.name;
    });
  });
}

Case read_study_case(const CaseArguments& arguments, bool fine, const Console& console) {
  Case c = read_judged_case(study_arguments(arguments, fine), console).c;
  leave_out_watching(c);
  return c;
}

std::string resolution_text(const Case& c, bool fine) {
  return fmt::format("{} (grid.fine_mm = {:g}, grid.growth = {:g}, time.tolerance = {:g})",
                     fine ? "the case's own resolution" : "sweep resolution", c.grading.fine / mm, c.grading.growth,
                     c.time.tolerance);
}

int report_study_interrupt(const Console& console, int signal) {
  console.warn("interrupted; there is no result");
  return exit_of_signal(signal);
}

}  // namespace dryfront
