// From the journals of all shards to one table.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "files/file_error.hpp"
#include "files/plan/plan_file.hpp"
#include "studies/sweep/folder.hpp"

namespace dryfront {

// What the analysis needs of the table: some result columns of every point, by the point's number; not a number where a
// run failed or a constraint left the point out.
struct CollectedColumns {
  std::vector<std::string> names;
  std::vector<std::vector<double>> values;
};

struct MergeReport {
  std::uint64_t rows = 0;
  std::uint64_t failed = 0;    // rows whose run failed
  std::uint64_t repeated = 0;  // records of points that had one already: see settles()
  std::uint64_t damaged = 0;   // records that were left out for their checksum
  double computing = 0;        // of all rows, summed [s]
  CollectedColumns collected;
};

// Points of the plan have no row yet: how many, of which shards.
class RowsMissing : public FileError {
 public:
  using FileError::FileError;
};

// Writes table.h5 and table.csv into the folder: a row per point in the order of the points, whatever the order they
// were computed in. Columns: point, design, status, reason, seed, then the axes, then the results. Reads every journal
// twice and keeps 16 bytes per point besides the collected columns. Throws RowsMissing, FileError.
MergeReport merge_sweep(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                        const std::vector<std::string>& collect, const std::function<void(double share)>& on_progress);

}  // namespace dryfront
