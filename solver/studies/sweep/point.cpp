#include "studies/sweep/point.hpp"

#include <algorithm>
#include <cassert>
#include <chrono>
#include <new>
#include <utility>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/file_error.hpp"
#include "files/run_file/writer.hpp"
#include "simulation/run.hpp"

namespace dryfront {

namespace {

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

PointComputer::PointComputer(const Plan& plan, std::filesystem::path folder, ProgramOrigin origin, std::string started,
                             const std::atomic<bool>* stop)
    : plan_(plan),
      folder_(std::move(folder)),
      origin_(std::move(origin)),
      started_(std::move(started)),
      stop_(stop),
      columns_(result_columns(plan).size()) {}

bool PointComputer::keeps(std::uint64_t point) const {
  if (plan_.keep != KeepFields::listed) return plan_.keep == KeepFields::all;
  return std::binary_search(plan_.kept.begin(), plan_.kept.end(), static_cast<std::int64_t>(point));
}

std::vector<ModeRecord> PointComputer::records_of(std::uint64_t point, const Case& c, const Grid& grid) {
  const auto start = std::chrono::steady_clock::now();
  Observer observer;
  observer.stop = stop_;
  std::vector<std::pair<int, Frame>> frames;
  if (keeps(point)) {
    observer.frame = [&frames](int mode, const Frame& frame) { frames.emplace_back(mode, frame); };
  }
  std::vector<ModeRecord> records = run(c, grid, observer, 1);
  const auto complete = [](const ModeRecord& record) { return record.completed; };
  if (!keeps(point) || !std::all_of(records.begin(), records.end(), complete)) return records;

  const std::lock_guard lock(hdf5_);
  const std::filesystem::path path = kept_run_path(folder_, point);
  std::error_code error;
  std::filesystem::create_directories(path.parent_path(), error);
  if (error) throw FileError(path.parent_path().string(), "cannot be made: " + error.message());
  RunFileWriter file(path.string(), true, c, grid,
                     RunOrigin{resolved_toml(c), origin_.version, origin_.source_revision, started_});
  for (const auto& [mode, frame] : frames) file.add_frame(mode, frame);
  for (std::size_t k = 0; k < records.size(); ++k) file.add_record(static_cast<int>(k), records[k]);
  file.finish(seconds_since(start));
  return records;
}

SweepRow PointComputer::compute(std::uint64_t point, const std::vector<AxisSetting>& settings) {
  const auto start = std::chrono::steady_clock::now();
  SweepRow row;
  row.point = point;
  const auto fail = [&](RowStatus status, std::string_view reason) {
    row.status = status;
    row.reason = row_reason(reason);
    row.values.assign(columns_, not_a_number);
  };
  try {
    const Case c = plan_case(plan_, overrides_of(plan_, settings));
    const Grid grid = case_grid(c);
    std::vector<ModeRecord> records = records_of(point, c, grid);
    const auto complete = [](const ModeRecord& record) { return record.completed; };
    if (!std::all_of(records.begin(), records.end(), complete)) return row;
    row.values = result_values(c, grid.cells(), records);
    if (row.values.size() != columns_) fail(RowStatus::bad_case, "an axis changes the modes or effects of the case");
  } catch (const CaseError& error) {
    fail(RowStatus::bad_case, error.what());
  } catch (const NumericalFailure& error) {
    fail(RowStatus::numerical_failure, error.what());
  } catch (const std::bad_alloc&) {
    fail(RowStatus::no_memory, "not enough memory");
  } catch (const FileError&) {
    throw;
  } catch (const std::exception& error) {
    fail(RowStatus::fault, error.what());
  }
  row.wall = seconds_since(start);
  return row;
}

}  // namespace dryfront
