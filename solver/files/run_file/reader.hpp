// Reads a finished run file back.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "files/run_file/hdf5.hpp"

namespace dryfront {

struct RunMode {
  std::string name;
  double activation = 0;                             // current on [s]
  double after = 0;                                  // watched with the current off [s]
  std::string waveform;                              // its kind, as in a case file
  std::string source;                                // its kind, as in a case file
  double crest_factor = 0;                           // [-]
  std::map<std::string, double> summary;             // by the name in the file, unit in the name
  std::map<std::string, std::vector<double>> trace;  // by the name in the file; "greatest_depth/<effect>_m" too
  std::vector<double> frame_times;                   // [s]
  std::vector<std::string> fields;                   // the datasets of a frame
};

class RunFile {
 public:
  std::string path;
  std::string title, question, case_toml, version, source_revision, started;
  std::vector<std::string> effects;
  std::vector<double> r, z, r_face, z_face;  // [m]
  std::vector<RunMode> modes;                // in the order of the case

  // One field of one frame, r fastest, in the unit its name says. FileError when there is no such field or frame.
  std::vector<double> field(std::size_t mode, const std::string& name, std::size_t frame) const;
  // Depth of an effect per column at one frame [m].
  std::vector<double> depth(std::size_t mode, const std::string& effect, std::size_t frame) const;

 private:
  friend RunFile open_run(const std::string& path);
  std::vector<double> entry(const std::string& dataset, std::size_t k) const;
  Hdf5Node file_;
};

// FileError when `path` cannot be read, is no run file, is unfinished or was written by a newer version of the program.
RunFile open_run(const std::string& path);

}  // namespace dryfront
