#include "files/run_file/checkpoint.hpp"

#include <filesystem>
#include <system_error>
#include <type_traits>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"
#include "files/file_place.hpp"
#include "files/run_file/hdf5.hpp"

namespace dryfront {
namespace {

// What a value is stored as: vectors of numbers as datasets, single numbers and texts as attributes, parts as groups.
// Writer and Reader are handed the same list of names and members, which stands once, in the functions store().
class Writer {
 public:
  explicit Writer(Hdf5Node node) : node_(std::move(node)) {}
  Writer part(const std::string& name) { return Writer(node_.create_group(name)); }

  void operator()(const std::string& name, std::vector<double>& values) {
    node_.create_dataset(name, Hdf5Number::float64, {values.size()}).write(values);
  }
  void operator()(const std::string& name, double& value) { node_.set(name, value); }
  void operator()(const std::string& name, std::string& value) { node_.set(name, value); }
  // As text: a double does not hold every count of picoseconds.
  template <class Integer>
  requires std::is_integral_v<Integer>
  void operator()(const std::string& name, Integer& value) { node_.set(name, std::to_string(value)); }
  template <class Part>
  std::size_t count(const std::string& name, std::vector<Part>& parts) {
    node_.set(name + "_count", static_cast<double>(parts.size()));
    return parts.size();
  }

 private:
  Hdf5Node node_;
};

class Reader {
 public:
  explicit Reader(Hdf5Node node) : node_(std::move(node)) {}
  Reader part(const std::string& name) { return Reader(node_.open_group(name)); }

  void operator()(const std::string& name, std::vector<double>& values) { values = node_.open_dataset(name).read(); }
  void operator()(const std::string& name, double& value) { value = node_.number(name); }
  void operator()(const std::string& name, std::string& value) { value = node_.text(name); }
  template <class Integer>
  requires std::is_integral_v<Integer>
  void operator()(const std::string& name, Integer& value) {
    value = static_cast<Integer>(std::stoll(node_.text(name)));
  }
  template <class Part>
  std::size_t count(const std::string& name, std::vector<Part>& parts) {
    parts.resize(static_cast<std::size_t>(node_.number(name + "_count")));
    return parts.size();
  }

 private:
  Hdf5Node node_;
};

// The bindings name every member: one that is added to a struct and forgotten here does not compile.

template <class Archive>
void store(Archive archive, Fields& fields) {
  auto& [temperature, water, peak_temperature, omega, cem43, eschar, electrode_temperature, coagulation] = fields;
  archive("temperature", temperature);
  archive("water", water);
  archive("peak_temperature", peak_temperature);
  archive("cem43", cem43);
  archive("eschar", eschar);
  archive("electrode_temperature", electrode_temperature);
  archive("coagulation", coagulation);
  for (std::size_t k = 0, n = archive.count("omega", omega); k < n; ++k)
    archive("omega_" + std::to_string(k), omega[k]);
}

template <class Archive>
void store(Archive archive, ElectricWarmStart& warm) {
  auto& [unit_potential, current_density, face_density, unit_current, channel_potential, channel_resistance] = warm;
  archive("unit_potential", unit_potential);
  archive("current_density", current_density);
  archive("face_density", face_density);
  archive("unit_current", unit_current);
  archive("channel_potential", channel_potential);
  archive("channel_resistance", channel_resistance);
}

template <class Archive>
void store(Archive archive, ElectricState& electric) {
  auto& [potential, conductivity, heating, gap_voltage, contact_power, spark_power, root_power, rim_spark, rim_root,
         root_radius, resistance, rms, current, inflow, power, volume_power, surface_power, beyond_power, arcing_share,
         residual, solves, iterations, converged, warm] = electric;
  archive("potential", potential);
  archive("conductivity", conductivity);
  archive("heating", heating);
  archive("gap_voltage", gap_voltage);
  archive("contact_power", contact_power);
  archive("spark_power", spark_power);
  archive("root_power", root_power);
  archive("rim_spark", rim_spark);
  archive("rim_root", rim_root);
  archive("root_radius", root_radius);
  archive("resistance", resistance);
  archive("rms", rms);
  archive("current", current);
  archive("inflow", inflow);
  archive("power", power);
  archive("volume_power", volume_power);
  archive("surface_power", surface_power);
  archive("beyond_power", beyond_power);
  archive("arcing_share", arcing_share);
  archive("residual", residual);
  archive("solves", solves);
  archive("iterations", iterations);
  archive("converged", converged);
  store(archive.part("warm_start"), warm);
}

template <class Archive>
void store(Archive archive, Rates& rates) {
  auto& [heat_source, water, boil_off, vapour, temperature, omega, resistance, electrode] = rates;
  archive("heat_source", heat_source);
  archive("water", water);
  archive("boil_off", boil_off);
  archive("vapour", vapour);
  archive("temperature", temperature);
  archive("omega", omega);
  archive("resistance", resistance);
  archive("electrode", electrode);
}

template <class Archive>
void store(Archive archive, State& state) {
  auto& [time, current_on, fields, electric, heat_source, spark_loss, control_integral, rates] = state;
  archive("time_ps", time);
  archive("current_on", current_on);
  archive("heat_source", heat_source);
  archive("spark_loss", spark_loss);
  archive("control_integral", control_integral);
  store(archive.part("fields"), fields);
  store(archive.part("electric"), electric);
  store(archive.part("rates"), rates);
}

template <class Archive>
void store(Archive archive, Ledger& ledger) {
  auto& [electric_in, surface_in, beyond_out, spark_out, metabolic_in, air_out, electrode_out, far_out, perfusion_out,
         latent, water_boiled, steam_out, vapour_condensed, vapour_refused, steam_kept, pressed_out, pressed_heat_out,
         worst_electric] = ledger;
  archive("electric_in", electric_in);
  archive("surface_in", surface_in);
  archive("beyond_out", beyond_out);
  archive("spark_out", spark_out);
  archive("metabolic_in", metabolic_in);
  archive("air_out", air_out);
  archive("electrode_out", electrode_out);
  archive("far_out", far_out);
  archive("perfusion_out", perfusion_out);
  archive("latent", latent);
  archive("steam_out", steam_out);
  archive("vapour_condensed", vapour_condensed);
  archive("vapour_refused", vapour_refused);
  archive("steam_kept", steam_kept);
  archive("pressed_out", pressed_out);
  archive("pressed_heat_out", pressed_heat_out);
  archive("water_boiled", water_boiled);
  archive("worst_electric", worst_electric);
}

template <class Archive>
void store(Archive archive, LedgerRecord& ledger) {
  auto& [electric, energy, water, electric_in, surface_in, stored, latent, perfusion_out, surface_out, electrode_out,
         far_out, spark_out, metabolic_in, steam_out, water_start, water_left, water_boiled, pressed_out,
         pressed_heat_out, vapour_condensed, vapour_refused, steam_kept] = ledger;
  archive("electric", electric);
  archive("energy", energy);
  archive("water", water);
  archive("electric_in", electric_in);
  archive("surface_in", surface_in);
  archive("stored", stored);
  archive("latent", latent);
  archive("steam_out", steam_out);
  archive("vapour_condensed", vapour_condensed);
  archive("vapour_refused", vapour_refused);
  archive("steam_kept", steam_kept);
  archive("pressed_out", pressed_out);
  archive("pressed_heat_out", pressed_heat_out);
  archive("perfusion_out", perfusion_out);
  archive("surface_out", surface_out);
  archive("electrode_out", electrode_out);
  archive("far_out", far_out);
  archive("spark_out", spark_out);
  archive("metabolic_in", metabolic_in);
  archive("water_start", water_start);
  archive("water_left", water_left);
  archive("water_boiled", water_boiled);
}

template <class Archive>
void store(Archive archive, Trace& trace) {
  auto& [time, resistance, power, rms, peak, current, arcing_share, surface, electrode, wet_share, eschar_share,
         greatest_depth] = trace;
  archive("time", time);
  archive("resistance", resistance);
  archive("power", power);
  archive("rms", rms);
  archive("peak", peak);
  archive("current", current);
  archive("arcing_share", arcing_share);
  archive("surface", surface);
  archive("electrode", electrode);
  archive("wet_share", wet_share);
  archive("eschar_share", eschar_share);
  for (std::size_t k = 0, n = archive.count("greatest_depth", greatest_depth); k < n; ++k) {
    archive("greatest_depth_" + std::to_string(k), greatest_depth[k]);
  }
}

template <class Archive>
void store(Archive archive, ProbeRecord& probe) {
  auto& [name, time, temperature, omega] = probe;
  archive("name", name);
  archive("time", time);
  archive("temperature", temperature);
  archive("omega", omega);
}

template <class Archive>
void store(Archive archive, EffectRecord& effect) {
  auto& [name, depth, axis_depth, half_width, volume, past_range] = effect;
  archive("name", name);
  archive("depth", depth);
  archive("axis_depth", axis_depth);
  archive("half_width", half_width);
  archive("volume", volume);
  archive("past_range", past_range);
}

template <class Archive>
void store(Archive archive, RangePassing& passing) {
  auto& [time, r, z] = passing;
  archive("time", time);
  archive("r", r);
  archive("z", z);
}

template <class Archive>
void store(Archive archive, ModeRecord& record) {
  auto& [name, label, completed, steps, rejected_steps, electric_solves, electric_iterations, crest_factor, effects,
         resistance_start, resistance_least, resistance_end, delivered, surface, arcing, dry_out, peak_temperature,
         past_range, ledger, trace, probes] = record;
  archive("name", name);
  archive("label", label);
  archive("completed", completed);
  archive("steps", steps);
  archive("rejected_steps", rejected_steps);
  archive("electric_solves", electric_solves);
  archive("electric_iterations", electric_iterations);
  archive("crest_factor", crest_factor);
  archive("resistance_start", resistance_start);
  archive("resistance_least", resistance_least);
  archive("resistance_end", resistance_end);
  archive("delivered", delivered);
  archive("surface", surface);
  archive("arcing", arcing);
  archive("dry_out", dry_out);
  archive("peak_temperature", peak_temperature);
  store(archive.part("past_range"), past_range);
  store(archive.part("ledger"), ledger);
  store(archive.part("trace"), trace);
  for (std::size_t k = 0, n = archive.count("effect", effects); k < n; ++k) {
    store(archive.part("effect_" + std::to_string(k)), effects[k]);
  }
  for (std::size_t k = 0, n = archive.count("probe", probes); k < n; ++k) {
    store(archive.part("probe_" + std::to_string(k)), probes[k]);
  }
}

template <class Archive>
void store(Archive archive, ModeCheckpoint& mode) {
  auto& [recording, state, event, frames, wanted_step, electric_fresh] = mode;
  auto& [record, ledger] = recording;
  archive("event", event);
  archive("frames", frames);
  archive("wanted_step", wanted_step);
  archive("electric_fresh", electric_fresh);
  store(archive.part("record"), record);
  store(archive.part("ledger"), ledger);
  store(archive.part("state"), state);
}

template <class Archive>
void store(Archive archive, RunCheckpoint& run) {
  auto& [case_toml, source_revision, wall_s, modes] = run;
  archive("case_toml", case_toml);
  archive("source_revision", source_revision);
  archive("wall_s", wall_s);
  for (std::size_t k = 0, n = archive.count("mode", modes); k < n; ++k) {
    store(archive.part("mode_" + std::to_string(k)), modes[k]);
  }
}

void remove(const std::string& path) {
  std::error_code failure;
  std::filesystem::remove(path, failure);
  if (failure) throw system_error(path, "cannot remove", failure.value());
}

void copy(const std::string& from, const std::string& to) {
  std::error_code failure;
  std::filesystem::copy_file(from, to, std::filesystem::copy_options::overwrite_existing, failure);
  if (failure) throw system_error(to, "cannot copy " + from + " to", failure.value());
}

// The frames as they were at the checkpoint, while a resumed run goes on in the .part.
std::string kept_frames_path(const std::string& checkpoint) { return checkpoint + ".frames"; }

}  // namespace

std::string checkpoint_path(const std::string& run_file) { return run_file + ".checkpoint"; }

void write_checkpoint(const std::string& path, RunCheckpoint checkpoint) {
  remove(kept_frames_path(path));  // first: frames older than their checkpoint would be of no use
  FilePlace place(path, true);
  Hdf5Node file = Hdf5Node::create_file(place.part());
  store(Writer(file.create_group("run")), checkpoint);
  file.close();
  place.publish();
}

void remove_checkpoint(const std::string& path) {
  remove(kept_frames_path(path));
  remove(path);
}

bool restore_frames(const std::string& checkpoint, const std::string& part) {
  const std::string kept = kept_frames_path(checkpoint);
  if (!std::filesystem::exists(kept)) return false;
  copy(kept, part);
  return true;
}

void keep_frames(const std::string& checkpoint, const std::string& part) {
  FilePlace kept(kept_frames_path(checkpoint), true);
  copy(part, kept.part());
  kept.publish();
}

RunCheckpoint read_checkpoint(const std::string& path, const std::string& case_toml,
                              const std::string& source_revision) {
  if (!std::filesystem::exists(path)) throw FileError(path, "there is no such checkpoint to go on from");
  RunCheckpoint checkpoint;
  Hdf5Node file = Hdf5Node::open_file(path);
  store(Reader(file.open_group("run")), checkpoint);
  const auto refuse = [&](const std::string& what, const std::string& given, const std::string& allowed) {
    throw CaseError({.place = path, .what = what, .given = given, .allowed = allowed, .nearest = ""});
  };
  if (checkpoint.source_revision != source_revision) {
    refuse("the interrupted run is of another revision of the program, whose numbers may differ",
           "revision " + source_revision, "revision " + checkpoint.source_revision);
  }
  if (checkpoint.case_toml != case_toml) {
    refuse("the interrupted run is of another case",
           "a case that differs after everything given and default is filled in",
           "the same case and the same overrides");
  }
  return checkpoint;
}

}  // namespace dryfront
