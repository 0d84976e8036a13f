// One point of a sweep: the case it stands for, its run, its row.
#pragma once

#include <atomic>
#include <filesystem>
#include <mutex>
#include <vector>

#include "studies/sweep/design.hpp"
#include "studies/sweep/folder.hpp"
#include "studies/sweep/row.hpp"

namespace dryfront {

// Computes points. Several threads may do so at once; run files that are kept are written one after another, since the
// HDF5 library is not for several threads.
class PointComputer {
 public:
  // `plan` must outlive the object.
  PointComputer(const Plan& plan, std::filesystem::path folder, ProgramOrigin origin, std::string started,
                const std::atomic<bool>* stop);

  // The row of a point; a failure of its case or its numbers is in it. Without values when stopped on the way.
  // Throws FileError when a run file that is to be kept cannot be written.
  SweepRow compute(std::uint64_t point, const std::vector<AxisSetting>& settings);

  // Whether the run file of a point is to be kept.
  bool keeps(std::uint64_t point) const;

 private:
  // Runs the case; with the fields kept when `point` is to keep them.
  std::vector<ModeRecord> records_of(std::uint64_t point, const Case& c, const Grid& grid);

  const Plan& plan_;
  std::filesystem::path folder_;
  ProgramOrigin origin_;
  std::string started_;
  const std::atomic<bool>* stop_;
  std::size_t columns_;
  std::mutex hdf5_;
};

}  // namespace dryfront
