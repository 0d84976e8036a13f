// The run file, written while the modes run.
#pragma once

#include <mutex>
#include <string>
#include <vector>

#include "files/file_place.hpp"
#include "files/run_file/checkpoint.hpp"
#include "files/run_file/hdf5.hpp"
#include "files/run_file/layout.hpp"
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
// What ends up in every dataset does not depend on the order in which different modes report. The functions may be
// called from several threads; calls for one mode in time order. Everything throws FileError; after that the object
// can only be destroyed, and removes what it has written.
class RunFileWriter {
 public:
  // Refuses a path that exists (unless `replace`) or cannot be written. `c` and `grid` must outlive the object.
  RunFileWriter(const std::string& path, bool replace, const Case& c, const Grid& grid, const RunOrigin& origin);
  // Goes on with the PATH.part of an interrupted run: its frames up to the checkpoint stay, its records are taken out.
  // A PATH.part that is of another run is refused and stays as it is.
  RunFileWriter(const std::string& path, bool replace, const Case& c, const Grid& grid, const RunCheckpoint& from);
  ~RunFileWriter();

  void add_frame(int mode, const Frame& frame);
  void add_record(int mode, const ModeRecord& record);
  // What was warned of in the case, as JSON; without it the file says that nothing was.
  void set_warnings(const std::string& json);
  // How many specimens show a difference of two modes, as JSON; without it the file says that this was not computed.
  void set_specimens(const std::string& json);
  // The interval of the depths as JSON; without it the file says that none was computed.
  void set_interval(const std::string& json);
  // What is said of every pair of modes, as JSON.
  void set_pairs(const std::string& json);
  // Marks the file finished, brings it to the disk and renames it.
  void finish(double wall_s);
  // Instead of finish(): closes PATH.part with finished = 0. It stays, and true comes back, when any mode has a frame
  // later than its start or a run is to go on with it; else it is removed.
  bool leave_unfinished(bool to_go_on = false);

  const std::string& part() const { return place_.part(); }
  bool took_over() const { return place_.took_over(); }  // an abandoned PATH.part was there and is gone

 private:
  struct ModeNodes {
    Hdf5Node group;
    Hdf5Node time;
    std::vector<Hdf5Node> fields;  // as fields_
    std::vector<Hdf5Node> depths;  // per effect
    std::vector<double> times;     // of the frames [s]
  };

  void write_head(const RunOrigin& origin);
  void write_electrode_and_specimen();
  void write_shown_quantities();
  void write_grid();
  void write_setting(const Hdf5Node& group, const Mode& mode) const;
  ModeNodes create_mode(const Hdf5Node& modes, const Mode& mode) const;
  ModeNodes open_mode(const Hdf5Node& modes, const Mode& mode, const ModeCheckpoint& from) const;
  void write_summary(const Hdf5Node& group, const ModeRecord& record) const;
  void write_trace(const Hdf5Node& group, const ModeRecord& record) const;
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
  std::vector<ModeNodes> modes_;
};

// The sidecar's name for a run file's.
std::string sidecar_path(const std::string& run_file);

}  // namespace dryfront
