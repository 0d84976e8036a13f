// The numbers of a run as one JSON object: what `run --json` prints.
#pragma once

#include <nlohmann/json.hpp>
#include <span>
#include <string>

#include "files/case/case_warning.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// What belongs to the whole run.
struct RunFacts {
  std::string version;    // of the program
  std::string case_path;  // as the user gave it
  std::size_t cells = 0;
  double wall_s = 0;
};

// Lengths in mm, volumes in mm3, all else with the unit in its name; what did not happen or is no number becomes null.
nlohmann::ordered_json summary_json(const Case& c, const RunFacts& facts, std::span<const ModeRecord> records);

// A list of { place, given, sentence, advice }, as in CaseWarning.
nlohmann::ordered_json warnings_json(std::span<const CaseWarning> warnings);

}  // namespace dryfront
