// The table of a plan's keys, as the key table of case files.
#pragma once

#include "files/case/key_table.hpp"
#include "files/plan/plan_file.hpp"

namespace dryfront {

// The values of range and log_range.
struct AxisRange {
  double from = 0;
  double to = 0;
  int points = 0;
};

// The section [analysis].
struct PlanAnalysis {
  std::vector<std::string> outputs;
  std::vector<std::string> map_axes;
};

const Keys<Plan>& plan_keys();
const Keys<PlanAxis>& axis_keys();
const Keys<AxisRange>& range_keys();
const Keys<PlanDesign>& design_keys();
const Keys<PlanAnalysis>& analysis_keys();

// The reference of a plan's sections; one that takes keys of the case has none of its own.
const std::vector<Section>& plan_sections();

}  // namespace dryfront
