#include "files/run_file/reader.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

#include "files/file_error.hpp"
#include "files/run_file/layout.hpp"

namespace dryfront {
namespace {

// HDF5's own message for any of these would not help a reader.
void refuse_what_is_no_run_file(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) throw system_error(path, "cannot open", errno);
  char first = 0;
  const bool readable = ::read(descriptor, &first, 1) >= 0;
  const int reason = errno;
  ::close(descriptor);
  if (!readable) throw system_error(path, "cannot read", reason);
}

Hdf5Node open_checked(const std::string& path) {
  refuse_what_is_no_run_file(path);
  if (!Hdf5Node::is_hdf5(path)) throw FileError(path, "is no run file (not HDF5, or cut off)");
  Hdf5Node file = Hdf5Node::open_file(path);
  if (!file.has_attribute("format_version") || !file.has_attribute("finished")) {
    throw FileError(path, "is no run file (an HDF5 file of another program)");
  }
  if (const auto format = static_cast<int>(file.number("format_version")); format > run_file_format) {
    throw FileError(path, "was written by a newer version (" + file.text("version") + ", layout " +
                              std::to_string(format) + "; this program knows " + std::to_string(run_file_format) +
                              "); update the program");
  }
  if (file.number("finished") != 1) {
    throw FileError(path, "is unfinished: its run was interrupted or is still going; run the case again");
  }
  return file;
}

void read_columns(const Hdf5Node& group, const std::string& prefix, const std::vector<std::string>& names,
                  std::map<std::string, std::vector<double>>& into) {
  for (const std::string& column : names) into[prefix + column] = group.open_dataset(column).read();
}

// The members of a group that are neither groups nor links to axes.
std::vector<std::string> columns_of(const Hdf5Node& group, const std::vector<std::string>& others) {
  std::vector<std::string> columns = group.members();
  for (const std::string& other : others) std::erase(columns, other);
  return columns;
}

RunMode read_mode(const Hdf5Node& modes, const std::string& name) {
  const Hdf5Node group = modes.open_group(name);
  RunMode mode;
  mode.name = name;
  mode.activation = group.number("activation_s");
  mode.after = group.number("after_s");
  const Hdf5Node waveform = group.open_group("waveform");
  mode.waveform = waveform.text("kind");
  mode.crest_factor = waveform.number("crest_factor");
  mode.source = group.open_group("source").text("kind");
  const Hdf5Node summary = group.open_group("summary");
  for (const std::string& attribute : summary.attributes()) mode.summary[attribute] = summary.number(attribute);
  const Hdf5Node trace = group.open_group("trace");
  const Hdf5Node greatest = trace.open_group("greatest_depth");
  read_columns(trace, "", columns_of(trace, {"greatest_depth", "probe"}), mode.trace);
  read_columns(greatest, "greatest_depth/", columns_of(greatest, {"t_s"}), mode.trace);
  const Hdf5Node frame = group.open_group("frame");
  mode.frame_times = frame.open_dataset("t_s").read();
  mode.fields = columns_of(frame, {"t_s", "r_m", "z_m"});
  return mode;
}

}  // namespace

std::vector<double> RunFile::entry(const std::string& dataset, std::size_t k) const {
  const Hdf5Node node = file_.open_dataset(dataset);
  if (k >= node.shape().front()) {
    throw FileError(path, "no frame " + std::to_string(k) + " in " + dataset + ", it holds " +
                              std::to_string(node.shape().front()));
  }
  return node.read_entry(k);
}

std::vector<double> RunFile::field(std::size_t mode, const std::string& name, std::size_t frame) const {
  const RunMode& d = modes.at(mode);
  if (std::find(d.fields.begin(), d.fields.end(), name) == d.fields.end()) {
    throw FileError(path, "holds no field " + name + " of " + d.name + "; add it to output.fields and run again");
  }
  return entry("mode/" + d.name + "/frame/" + name, frame);
}

std::vector<double> RunFile::depth(std::size_t mode, const std::string& effect, std::size_t frame) const {
  if (std::find(effects.begin(), effects.end(), effect) == effects.end()) {
    throw FileError(path, "holds no effect " + effect);
  }
  return entry("mode/" + modes.at(mode).name + "/depth/" + effect + "_m", frame);
}

RunFile open_run(const std::string& path) {
  RunFile run;
  run.path = path;
  run.file_ = open_checked(path);
  run.title = run.file_.text("title");
  run.question = run.file_.text("question");
  run.case_toml = run.file_.text("case_toml");
  run.version = run.file_.text("version");
  run.source_revision = run.file_.text("source_revision");
  run.started = run.file_.text("started");
  run.effects = run.file_.open_group("effect").texts("names");
  const Hdf5Node grid = run.file_.open_group("grid");
  run.r = grid.open_dataset("r_m").read();
  run.z = grid.open_dataset("z_m").read();
  run.r_face = grid.open_dataset("r_face_m").read();
  run.z_face = grid.open_dataset("z_face_m").read();
  const Hdf5Node modes = run.file_.open_group("mode");
  for (const std::string& name : modes.texts("names")) run.modes.push_back(read_mode(modes, name));
  return run;
}

}  // namespace dryfront
