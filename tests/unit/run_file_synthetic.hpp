// A case and results made up for the tests of what is written: every value says where it belongs.
#pragma once

#include <unistd.h>
#include <filesystem>
#include <string>
#include <vector>

#include "numerics/grid.hpp"
#include "simulation/case.hpp"
#include "simulation/record.hpp"

namespace dryfront {

// A directory of its own, gone with the test.
class ScratchDirectory {
 public:
  ScratchDirectory() {
    std::string name = (std::filesystem::temp_directory_path() / "dryfront_test_XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ScratchDirectory(const ScratchDirectory&) = delete;
  ScratchDirectory& operator=(const ScratchDirectory&) = delete;
  ~ScratchDirectory() { std::filesystem::remove_all(path_); }
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  std::size_t entries() const {
    return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path_), {}));
  }

 private:
  std::filesystem::path path_;
};

inline Case synthetic_case() {
  Case c;
  c.title = "Two waveforms & <one> setting";
  c.question = "Which reaches deeper?";
  Tissue tissue;
  tissue.name = "gel";
  c.specimen.layers = {{tissue, 0.02}};
  Mode mode;
  mode.name = "continuous";
  mode.source.setting = 60;
  c.modes.push_back(mode);
  mode.name = "interrupted";
  mode.waveform.kind = WaveformKind::gated;
  mode.waveform.duty = 0.5;
  c.modes.push_back(mode);
  c.damage = {{"gel", 1e40, 2.5e5, 43, "made up"}};
  c.effects = {{"coagulation", EffectKind::damage, 0, 1}, {"char", EffectKind::peak_temperature, 0, 200}};
  c.probes = {{"below", 0, 1e-3}};
  return c;
}

inline Grid synthetic_grid() { return Grid({0, 1e-3, 2e-3, 4e-3}, {0, 5e-4, 1.5e-3, 3e-3, 6e-3}); }

// Field values count up from 100 * mode + 10 * time, so that a swap of mode, frame, field or cell shows.
inline Frame synthetic_frame(const Grid& grid, int mode, double time) {
  Frame frame;
  frame.time = time;
  const auto field = [&](double offset) {
    std::vector<double> values(grid.cells());
    for (std::size_t k = 0; k < values.size(); ++k) {
      values[k] = 1000 * offset + 100 * mode + 10 * time + 0.125 * static_cast<double>(k);
    }
    return values;
  };
  frame.temperature = field(0);
  frame.water = field(1);
  frame.omega = {field(2)};
  for (double& omega : frame.omega[0]) omega *= 1e60;  // beyond float32
  frame.cem43 = std::vector<double>(grid.cells(), 1e200);
  frame.peak_temperature = field(3);
  frame.heating = field(4);
  frame.potential = field(5);
  frame.conductivity = field(6);
  const auto columns = static_cast<std::size_t>(grid.columns());
  frame.depth = {std::vector<double>(columns, 1e-4 * time), std::vector<double>(columns, 0.0)};
  return frame;
}

inline ModeRecord synthetic_record(const Case& c, int mode, double depth) {
  ModeRecord record;
  record.name = c.modes[static_cast<std::size_t>(mode)].name;
  record.completed = true;
  record.steps = 2;
  record.crest_factor = 1.5;
  record.effects = {{"coagulation", depth, 0.9 * depth, 6e-3, 1e-7}, {"char", 0, 0, 0, 0}};
  record.resistance_start = 120;
  record.resistance_least = 80;
  record.resistance_end = 900;
  record.delivered = 555;
  record.surface = 111;
  record.arcing = mode == 0 ? not_a_time : 1.25;
  record.peak_temperature = 140;
  record.ledger.water = 1e-7;
  record.ledger.latent = 77;
  Trace& trace = record.trace;
  trace.time = {0, 1, 3};
  double first = 1;
  for (auto* column : {&trace.resistance, &trace.power, &trace.rms, &trace.peak, &trace.current, &trace.arcing_share,
                       &trace.surface, &trace.electrode, &trace.wet_share, &trace.eschar_share}) {
    *column = {first, first + 0.25, first + 0.5};
    ++first;
  }
  trace.greatest_depth = {{0, 1e-3, depth}, {0, 0, 0}};
  record.probes = {{"below", trace.time, {22, 50, 80}, {0, 0.5, 2}}};
  return record;
}

}  // namespace dryfront
