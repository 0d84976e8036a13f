// The run file, written while the drives run.
#pragma once

#include <mutex>
#include <string>
#include <vector>

#include "files/depth_interval.hpp"
#include "files/hdf5_handle.hpp"
#include "files/run_file_layout.hpp"
#include "files/run_file_place.hpp"
#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// What a run file says of where it comes from.
struct RunOrigin {
  std::string case_toml;        // the resolved case
  std::string version;          // of the program
  std::string source_revision;  // of the program
  std::string started;          // ISO 8601, UTC
};

// Writes PATH.part, and PATH with its sidecar PATH.xdmf (for PATH.h5: the same name ending in .xdmf) when finished.
// What ends up in every dataset does not depend on the order in which different drives report. The functions may be
// called from several threads; calls for one drive in time order. Everything throws FileError; after that the object
// can only be destroyed, and removes what it has written.
class RunFileWriter {
 public:
  // Refuses a path that exists (unless `replace`) or cannot be written. `c` and `grid` must outlive the object.
  RunFileWriter(const std::string& path, bool replace, const Case& c, const Grid& grid, const RunOrigin& origin);
  ~RunFileWriter();

  void add_frame(int drive, const Frame& frame);
  void add_record(int drive, const DriveRecord& record);
  // Without it the file says that no interval was computed.
  void set_interval(const IntervalAnswer& answer);
  // Marks the file finished, brings it to the disk and renames it.
  void finish(double wall_s);
  // Instead of finish(): closes PATH.part with finished = 0. It stays, and true comes back, when any drive has a frame
  // later than its start; else it is removed.
  bool leave_unfinished();

  const std::string& part() const { return place_.part(); }
  bool took_over() const { return place_.took_over(); }  // an abandoned PATH.part was there and is gone

 private:
  struct DriveNodes {
    Hdf5Node group;
    Hdf5Node time;
    std::vector<Hdf5Node> fields;  // as fields_
    std::vector<Hdf5Node> depths;  // per effect
    std::vector<double> times;     // of the frames [s]
  };

  void write_head(const RunOrigin& origin);
  void write_grid();
  void write_setting(const Hdf5Node& group, const Drive& drive) const;
  DriveNodes create_drive(const Hdf5Node& drives, const Drive& drive) const;
  void write_summary(const Hdf5Node& group, const DriveRecord& record) const;
  void write_trace(const Hdf5Node& group, const DriveRecord& record) const;
  void close();

  const Case& case_;
  const Grid& grid_;
  FilePlace place_;
  FilePlace sidecar_;
  std::mutex mutex_;
  std::vector<FieldColumn> fields_;
  // The order matters: members are destroyed from the last to the first, the file after all that is inside it.
  Hdf5Node file_;
  Hdf5Node r_, z_;  // cell centres, the scales of every field
  std::vector<DriveNodes> drives_;
};

// The sidecar's name for a run file's.
std::string sidecar_path(const std::string& run_file);

}  // namespace dryfront
