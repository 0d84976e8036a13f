// A case in SI, small enough for a test of a second, with everything in it: striking, eschar, breakdown, boiling,
// moisture.
#pragma once

#include <string>

#include "simulation/case.hpp"

namespace dryfront {

inline Tissue small_tissue() {
  Tissue tissue;
  tissue.name = "made up";
  tissue.conductivity = 0.4;
  tissue.density = 1050;
  tissue.specific_heat = 3600;
  tissue.moisture = 1e-8;
  tissue.conductivity_floor = 1e-3;
  return tissue;
}

inline Mode small_mode(const std::string& name, double duty, double activation) {
  Mode mode;
  mode.name = name;
  mode.activation = activation;
  if (duty < 1) {
    mode.waveform.kind = WaveformKind::gated;
    mode.waveform.duty = duty;
    mode.waveform.repeat = duty * mode.waveform.carrier / 8;
  }
  mode.source.kind = SourceKind::constant_power;
  mode.source.setting = 60;
  mode.source.peak_limit = duty < 1 ? 3000 : 500;
  return mode;
}

// A face of 4 mm at 60 W on a coarse grid.
inline Case small_case() {
  Case c;
  c.title = c.question = "test";
  c.specimen.layers = {{small_tissue(), 0}};
  c.specimen.radius = c.specimen.depth = 0.03;
  c.electrode.radius = 4e-3;
  c.electrode.contact_fraction = 0.1;  // few spots far apart: a contact that dries out within a second or two
  c.electrode.spot_pitch = 1e-3;
  c.electrode.heat_transfer = 400;
  c.electrode.capacity = 5;
  c.modes = {small_mode("continuous", 1, 2), small_mode("gated", 0.06, 2)};
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, "exact_values.json, A1"}};
  c.effects = {{"coagulation", EffectKind::damage, 0, 1}, {"desiccation", EffectKind::dry, 0, 0.5}};
  c.grading = {1.5e-4, 1.25, 3e-3};
  c.output.frames = 4;
  return c;
}

}  // namespace dryfront
