#include "files/run_file/writer.hpp"

#include <array>
#include <cassert>
#include <span>

#include "files/case/case_file.hpp"
#include "files/caution.hpp"
#include "files/file_error.hpp"
#include "files/model_range.hpp"
#include "files/run_file/xdmf.hpp"
#include "files/shown_numbers.hpp"
#include "physics/electrode_shape.hpp"

namespace dryfront {
namespace {

void describe(const Hdf5Node& dataset, const std::string& units, const std::string& long_name) {
  dataset.set("units", units);
  dataset.set("long_name", long_name);
}

Hdf5Node write_axis(const Hdf5Node& group, const std::string& name, const std::string& long_name,
                    const std::vector<double>& values) {
  Hdf5Node axis = group.create_dataset(name, Hdf5Number::float64, {values.size()});
  axis.write(values);
  describe(axis, "m", long_name);
  axis.make_scale(name);
  return axis;
}

void write_power_load(const Hdf5Node& mode_group, const Mode& mode) {
  const std::vector<LoadPoint> curve = power_load_curve(mode.source, crest_factor(mode.waveform));
  const Hdf5Node group = mode_group.create_group("power_load");
  Hdf5Node loads;
  for (const LoadColumn& column : load_columns) {
    std::vector<double> values;
    for (const LoadPoint& point : curve) values.push_back(point.*column.value);
    Hdf5Node written = group.create_dataset(column.name, Hdf5Number::float64, {values.size()});
    written.write(values);
    describe(written, column.units, column.long_name);
    if (column.value == &LoadPoint::load) {
      written.make_scale(column.name);
      loads = std::move(written);
    } else {
      written.attach_scale(0, loads);
    }
  }
}

// The .part as it was at the checkpoint.
Hdf5Node reopened(const std::string& path, const std::string& part, const RunCheckpoint& from) {
  const std::string checkpoint = checkpoint_path(path);
  if (!restore_frames(checkpoint, part)) {
    Hdf5Node file = Hdf5Node::open_file(part);
    const bool same = file.text("case_toml") == from.case_toml && file.text("source_revision") == from.source_revision;
    file.close();
    if (!same) throw FileError(part, "is not of the run that " + checkpoint + " was written by");
    keep_frames(checkpoint, part);
  }
  return Hdf5Node::open_file_to_change(part);
}

}  // namespace

std::string sidecar_path(const std::string& run_file) {
  if (run_file.ends_with(".xdmf")) throw FileError(run_file, "a run file may not end in .xdmf, its sidecar does");
  const std::string ending = ".h5";
  return (run_file.ends_with(ending) ? run_file.substr(0, run_file.size() - ending.size()) : run_file) + ".xdmf";
}

RunFileWriter::RunFileWriter(const std::string& path, bool replace, const Case& c, const Grid& grid,
                             const RunOrigin& origin)
    : case_(c),
      grid_(grid),
      place_(path, replace),
      sidecar_(sidecar_path(path), replace),
      fields_(field_columns(c)),
      file_(Hdf5Node::create_file(place_.part())) {
  write_head(origin);
  write_shown_quantities();
  write_grid();
  const Hdf5Node modes = file_.create_group("mode");
  std::vector<std::string> names;
  for (const Mode& mode : case_.modes) names.push_back(mode.name);
  modes.set("names", names);
  for (const Mode& mode : case_.modes) modes_.push_back(create_mode(modes, mode));
  file_.flush();
}

RunFileWriter::RunFileWriter(const std::string& path, bool replace, const Case& c, const Grid& grid,
                             const RunCheckpoint& from)
    : case_(c),
      grid_(grid),
      place_(path, replace, FilePlace::Content::kept),
      sidecar_(sidecar_path(path), replace),
      fields_(field_columns(c)),
      file_(reopened(path, place_.part(), from)) {
  const Hdf5Node axes = file_.open_group("grid");
  r_ = axes.open_dataset("r_m");
  z_ = axes.open_dataset("z_m");
  const Hdf5Node modes = file_.open_group("mode");
  for (std::size_t k = 0; k < case_.modes.size(); ++k) {
    modes_.push_back(open_mode(modes, case_.modes[k], from.modes.at(k)));
  }
  file_.flush();
}

RunFileWriter::~RunFileWriter() = default;

void RunFileWriter::write_head(const RunOrigin& origin) {
  file_.set("Conventions", "CF-1.8");  // units, long_name, coordinates: CF Conventions 1.8, 2.6.1
  file_.set("format", "dryfront run file");
  file_.set("format_version", run_file_format);
  file_.set("finished", 0);
  file_.set("title", case_.title);
  file_.set("question", case_.question);
  file_.set("case_toml", origin.case_toml);
  file_.set("version", origin.version);
  file_.set("source_revision", origin.source_revision);
  file_.set("started", origin.started);
  file_.set("warnings_json", "[]");
  file_.set("specimens_json", R"({"computed":false,"reason":"the run did not end"})");
  file_.set("interval_json", R"({"computed":false,"reason":"not asked for"})");
  file_.set("why_json", R"({"computed":false,"reason":"not asked for"})");
  file_.set("pairs_json", "[]");
  file_.set("caution", caution);
  write_electrode_and_specimen();
}

void RunFileWriter::write_electrode_and_specimen() {
  const Electrode& e = case_.electrode;
  const Hdf5Node electrode = file_.create_group("electrode");
  electrode.set("shape", word_of(e.shape));
  electrode.set("contact", word_of(e.contact));
  electrode.set("heat", word_of(e.heat));
  electrode.set("radius_m", e.radius);
  electrode.set("inner_radius_m", e.inner_radius);
  electrode.set("press_m", e.press);
  electrode.set("length_m", e.length);
  electrode.set("gap_m", e.gap);
  const ProfileLine face = face_line(e), side = side_line(e);
  electrode.set("face_r_m", face.r);
  electrode.set("face_z_m", face.z);
  electrode.set("side_r_m", side.r);
  electrode.set("side_z_m", side.z);

  const Hdf5Node specimen = file_.create_group("specimen");
  std::vector<std::string> tissues;
  std::vector<double> thickness;
  for (const Layer& layer : case_.specimen.layers) {
    tissues.push_back(layer.tissue.name);
    thickness.push_back(layer.thickness);
  }
  specimen.set("radius_m", case_.specimen.radius);
  specimen.set("depth_m", case_.specimen.depth);
  specimen.set("start_C", case_.specimen.start);
  specimen.set("layer_tissue", tissues);
  specimen.set("layer_thickness_m", thickness);

  std::vector<std::string> names, kinds, units;
  std::vector<double> thresholds;
  for (const Effect& effect : case_.effects) {
    names.push_back(effect.name);
    kinds.push_back(judged_by(effect, case_));
    units.push_back(threshold_units(effect));
    thresholds.push_back(effect.at);
  }
  const Hdf5Node effects = file_.create_group("effect");
  effects.set("names", names);
  effects.set("of", kinds);
  effects.set("at", thresholds);
  effects.set("at_units", units);
}

// How quantities are shown, for what changes with time and therefore stands nowhere as a text.
void RunFileWriter::write_shown_quantities() {
  std::vector<std::string> names, units;
  std::vector<double> significant, decimals;
  for (const ShownQuantity& row : shown_quantities) {
    names.emplace_back(row.name);
    units.emplace_back(row.unit);
    significant.push_back(row.significant);
    decimals.push_back(row.decimals);
  }
  const Hdf5Node group = file_.create_group("shown");
  group.set("quantity", names);
  group.set("unit", units);
  group.set("significant", significant);
  group.set("decimals", decimals);
}

void RunFileWriter::write_grid() {
  const Hdf5Node grid = file_.create_group("grid");
  const bool plane = grid_.symmetry() == Symmetry::plane;
  grid.set("symmetry", word_of(grid_.symmetry()));
  grid.set("length_m", grid_.length());
  const std::string r_words = plane ? "distance from the plane of symmetry" : "radius";
  r_ = write_axis(grid, "r_m", r_words + " of the cell centres", grid_.r());
  z_ = write_axis(grid, "z_m", "depth of the cell centres below the surface", grid_.z());
  write_axis(grid, "r_face_m", r_words + " of the cell faces", grid_.r_face());
  write_axis(grid, "z_face_m", "depth of the cell faces below the surface", grid_.z_face());
  file_.link("r_m", r_);  // coordinates where a reader begins
  file_.link("z_m", z_);
  std::vector<double> decimals;
  for (int j = 0; j < grid_.rows(); ++j) decimals.push_back(length_decimals(grid_.height(j)));
  const Hdf5Node borne = grid.create_dataset("z_decimals", Hdf5Number::float64, {decimals.size()});
  borne.write(decimals);
  describe(borne, "1", "decimals that a depth in mm has where it is shown, by the height of the cell");
  borne.attach_scale(0, z_);
}

void RunFileWriter::write_setting(const Hdf5Node& group, const Mode& mode) const {
  group.set("label", label_of(mode));
  group.set("activation_s", mode.activation);
  group.set("after_s", mode.after);
  const Waveform& w = mode.waveform;
  const Hdf5Node waveform = group.create_group("waveform");
  waveform.set("kind", word_of(w.kind));
  waveform.set("crest_factor", crest_factor(w));
  waveform.set("carrier_Hz", w.carrier);
  waveform.set("duty", w.duty);
  waveform.set("repeat_Hz", w.repeat);
  waveform.set("decay_s", w.decay);
  if (w.kind == WaveformKind::sampled) {
    const Hdf5Node time = waveform.create_dataset("t_s", Hdf5Number::float64, {w.time.size()});
    time.write(w.time);
    describe(time, "s", "time of the samples");
    time.make_scale("t_s");
    const Hdf5Node voltage = waveform.create_dataset("voltage", Hdf5Number::float64, {w.voltage.size()});
    voltage.write(w.voltage);
    describe(voltage, "1", "voltage of the samples in their own unit");
    voltage.attach_scale(0, time);
  }
  const Source& s = mode.source;
  const Hdf5Node source = group.create_group("source");
  source.set("kind", word_of(s.kind));
  source.set("setting_W", s.setting);
  source.set("rms_V", s.rms);
  source.set("rated_load_ohm", s.rated_load);
  source.set("peak_limit_V", s.peak_limit);
  source.set("current_limit_A", s.current_limit);
  source.set("hold_C", s.hold);
  source.set("hold_s", s.reset_time);
  source.set("probe", s.probe);
  constexpr std::array<double, 2> none{0, 0};
  source.set("flat_ohm", s.flat.empty() ? std::span<const double>(none) : std::span<const double>(s.flat));
}

RunFileWriter::ModeNodes RunFileWriter::create_mode(const Hdf5Node& modes, const Mode& mode) const {
  constexpr std::size_t times_per_chunk = 64;
  ModeNodes nodes;
  nodes.group = modes.create_group(mode.name);
  write_setting(nodes.group, mode);
  write_power_load(nodes.group, mode);

  const Hdf5Node frame = nodes.group.create_group("frame");
  nodes.time = frame.create_growing("t_s", Hdf5Number::float64, {}, times_per_chunk);
  describe(nodes.time, "s", "time of the frames");
  nodes.time.make_scale("t_s");
  // NetCDF looks for an axis only in the group of a dataset and in those above it.
  frame.link("r_m", r_);
  frame.link("z_m", z_);
  const auto rows = static_cast<std::size_t>(grid_.rows());
  const auto columns = static_cast<std::size_t>(grid_.columns());
  for (const FieldColumn& column : fields_) {
    const auto type = column.wide ? Hdf5Number::float64 : Hdf5Number::float32;
    Hdf5Node field = frame.create_growing(column.name, type, {rows, columns}, 1);
    describe(field, column.units, column.long_name);
    field.attach_scale(0, nodes.time);
    field.attach_scale(1, z_);
    field.attach_scale(2, r_);
    nodes.fields.push_back(std::move(field));
  }
  const Hdf5Node depth = nodes.group.create_group("depth");
  depth.link("t_s", nodes.time);
  depth.link("r_m", r_);
  for (const Effect& effect : case_.effects) {
    Hdf5Node line = depth.create_growing(effect.name + "_m", Hdf5Number::float64, {columns}, 1);
    describe(line, "m", "depth of " + effect.name + " below the surface, 0 where there is none");
    line.attach_scale(0, nodes.time);
    line.attach_scale(1, r_);
    nodes.depths.push_back(std::move(line));
  }
  return nodes;
}

RunFileWriter::ModeNodes RunFileWriter::open_mode(const Hdf5Node& modes, const Mode& mode,
                                                  const ModeCheckpoint& from) const {
  ModeNodes nodes;
  nodes.group = modes.open_group(mode.name);
  for (const char* record : {"trace", "summary", "shown"}) {
    if (nodes.group.has(record)) nodes.group.remove(record);
  }
  const Hdf5Node frame = nodes.group.open_group("frame");
  const Hdf5Node depth = nodes.group.open_group("depth");
  nodes.time = frame.open_dataset("t_s");
  for (const FieldColumn& column : fields_) nodes.fields.push_back(frame.open_dataset(column.name));
  for (const Effect& effect : case_.effects) nodes.depths.push_back(depth.open_dataset(effect.name + "_m"));
  // A run that went on from the same checkpoint before, and was killed, may have left frames that come again.
  const std::size_t there = nodes.time.shape()[0];
  const std::size_t kept = from.recording.record.completed ? there : from.frames;
  if (there < kept) throw FileError(place_.part(), "has fewer frames of mode '" + mode.name + "' than its checkpoint");
  nodes.time.shorten(kept);
  for (const auto* list : {&nodes.fields, &nodes.depths}) {
    for (const Hdf5Node& dataset : *list) dataset.shorten(kept);
  }
  nodes.times = nodes.time.read();
  return nodes;
}

void RunFileWriter::add_frame(int mode, const Frame& frame) {
  const std::lock_guard lock(mutex_);
  ModeNodes& nodes = modes_.at(static_cast<std::size_t>(mode));
  for (std::size_t k = 0; k < fields_.size(); ++k) nodes.fields[k].append(fields_[k].values(frame));
  assert(frame.depth.size() == nodes.depths.size());
  for (std::size_t k = 0; k < nodes.depths.size(); ++k) nodes.depths[k].append(frame.depth[k]);
  nodes.time.append({&frame.time, 1});  // last: a frame whose time is there is complete
  nodes.times.push_back(frame.time);
  file_.flush();
}

void RunFileWriter::write_trace(const Hdf5Node& group, const ModeRecord& record) const {
  const Trace& trace = record.trace;
  const std::size_t steps = trace.time.size();
  const Hdf5Node traces = group.create_group("trace");
  Hdf5Node time;
  const auto write_column = [&](const Hdf5Node& where, const std::string& name, const std::string& units,
                                const std::string& long_name, const std::vector<double>& values) {
    assert(values.size() == steps);
    Hdf5Node column = where.create_dataset(name, Hdf5Number::float64, {steps});
    column.write(values);
    describe(column, units, long_name);
    return column;
  };
  for (const TraceColumn& column : trace_columns) {
    Hdf5Node written = write_column(traces, column.name, column.units, column.long_name, trace.*column.values);
    if (column.values == &Trace::time) {
      written.make_scale(column.name);
      time = std::move(written);
    } else {
      written.attach_scale(0, time);
    }
  }
  const Hdf5Node greatest = traces.create_group("greatest_depth");
  greatest.link("t_s", time);
  for (std::size_t k = 0; k < trace.greatest_depth.size(); ++k) {
    const std::string& effect = case_.effects.at(k).name;
    write_column(greatest, effect + "_m", "m", "greatest depth of " + effect, trace.greatest_depth[k])
        .attach_scale(0, time);
  }
  if (record.probes.empty()) return;
  const Hdf5Node probes = traces.create_group("probe");
  for (std::size_t k = 0; k < record.probes.size(); ++k) {
    const ProbeRecord& probe = record.probes[k];
    const Hdf5Node place = probes.create_group(probe.name);
    place.link("t_s", time);
    place.set("r_m", case_.probes.at(k).r);
    place.set("z_m", case_.probes.at(k).z);
    write_column(place, "temperature_C", "degC", "temperature at " + probe.name, probe.temperature)
        .attach_scale(0, time);
    write_column(place, "omega", "1", "damage integral at " + probe.name, probe.omega).attach_scale(0, time);
  }
}

void RunFileWriter::write_summary(const Hdf5Node& group, const ModeRecord& record) const {
  const Hdf5Node summary = group.create_group("summary");
  summary.set("completed", record.completed ? 1 : 0);
  summary.set("steps", record.steps);
  summary.set("rejected_steps", record.rejected_steps);
  summary.set("electric_solves", static_cast<double>(record.electric_solves));
  summary.set("electric_iterations", static_cast<double>(record.electric_iterations));
  summary.set("crest_factor", record.crest_factor);
  for (const EffectRecord& effect : record.effects) {
    summary.set("depth_" + effect.name + "_m", effect.depth);
    summary.set("axis_depth_" + effect.name + "_m", effect.axis_depth);
    summary.set("half_width_" + effect.name + "_m", effect.half_width);
    summary.set("volume_" + effect.name + "_m3", effect.volume);
    summary.set("past_range_" + effect.name, effect.past_range ? 1 : 0);
  }
  summary.set("resistance_start_ohm", record.resistance_start);
  summary.set("resistance_least_ohm", record.resistance_least);
  summary.set("resistance_end_ohm", record.resistance_end);
  summary.set("delivered_J", record.delivered);
  summary.set("surface_J", record.surface);
  summary.set("arcing_s", record.arcing);    // not a number: never
  summary.set("dry_out_s", record.dry_out);  // not a number: never
  summary.set("peak_C", record.peak_temperature);
  summary.set("past_range", record.past_range.happened() ? 1 : 0);
  summary.set("past_range_s", record.past_range.time);  // not a number: never, as below
  summary.set("past_range_r_m", record.past_range.r);
  summary.set("past_range_z_m", record.past_range.z);
  summary.set("ledger_electric", record.ledger.electric);
  summary.set("ledger_energy", record.ledger.energy);
  summary.set("ledger_water", record.ledger.water);
  for (const LedgerTerm& term : ledger_terms) summary.set(term.name, record.ledger.*term.value);
  const Hdf5Node texts = group.create_group("shown");
  for (const auto& [name, text] : shown_summary(grid_, record)) texts.set(name, text);
}

void RunFileWriter::add_record(int mode, const ModeRecord& record) {
  const std::lock_guard lock(mutex_);
  const Hdf5Node& group = modes_.at(static_cast<std::size_t>(mode)).group;
  write_trace(group, record);
  write_summary(group, record);
  group.set("past_range_sentence", model_range_sentence(record));  // not among the summary, which holds numbers alone
}

void RunFileWriter::set_warnings(const std::string& json) {
  const std::lock_guard lock(mutex_);
  file_.set("warnings_json", json);
}

void RunFileWriter::set_specimens(const std::string& json) {
  const std::lock_guard lock(mutex_);
  file_.set("specimens_json", json);
}

void RunFileWriter::set_interval(const std::string& json) {
  const std::lock_guard lock(mutex_);
  file_.set("interval_json", json);
}

void RunFileWriter::set_pairs(const std::string& json) {
  const std::lock_guard lock(mutex_);
  file_.set("pairs_json", json);
}

void RunFileWriter::close() {
  modes_.clear();
  r_ = Hdf5Node();
  z_ = Hdf5Node();
  file_.flush();
  file_.close();
}

void RunFileWriter::finish(double wall_s) {
  const std::lock_guard lock(mutex_);
  std::vector<std::vector<double>> times;
  for (const ModeNodes& mode : modes_) times.push_back(mode.times);
  sidecar_.write(xdmf_text(case_, grid_, fields_, times, place_.path()));
  sidecar_.synchronise();
  file_.set("wall_s", wall_s);
  file_.set("cells", static_cast<int>(grid_.cells()));
  file_.set("finished", 1);
  close();
  place_.publish();
  sidecar_.publish();
}

bool RunFileWriter::leave_unfinished(bool to_go_on) {
  const std::lock_guard lock(mutex_);
  bool worth_keeping = to_go_on;
  for (const ModeNodes& mode : modes_) worth_keeping = worth_keeping || mode.times.size() > 1;
  close();
  if (worth_keeping) place_.keep();
  return worth_keeping;
}

}  // namespace dryfront
