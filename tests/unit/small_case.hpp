// A case in SI, small enough for a test of a second, with everything in it: striking, crust, breakdown, boiling, moisture.
#pragma once

#include <string>

#include "simulation/case.hpp"

namespace dryfront {

inline Tissue small_tissue() {
  Tissue tissue;
  tissue.name = "made up";
  tissue.conductivity = 0.4;
  tissue.density = 1050;
  tissue.heat = 3600;
  tissue.moisture = 1e-8;
  tissue.conductivity_floor = 1e-3;
  return tissue;
}

inline Drive small_drive(const std::string& name, double duty, double dwell) {
  Drive drive;
  drive.name = name;
  drive.dwell = dwell;
  if (duty < 1) {
    drive.waveform.kind = WaveformKind::gated;
    drive.waveform.duty = duty;
    drive.waveform.repeat = duty * drive.waveform.carrier / 8;
  }
  drive.source.kind = SourceKind::regulated;
  drive.source.dial = 60;
  drive.source.peak_limit = duty < 1 ? 3000 : 500;
  return drive;
}

// A face of 4 mm at 60 W on a coarse grid.
inline Case small_case() {
  Case c;
  c.title = c.question = "test";
  c.specimen.layers = {{small_tissue(), 0}};
  c.specimen.radius = c.specimen.depth = 0.03;
  c.electrode.radius = 4e-3;
  c.drives = {small_drive("continuous", 1, 2), small_drive("gated", 0.06, 2)};
  c.damage = {{"liver", 7.39e39, 2.577e5, 43, "exact_values.json, A1"}};
  c.effects = {{"coagulation", EffectKind::damage, 0, 1}, {"dry", EffectKind::dry, 0, 0.5}};
  c.grading = {1.5e-4, 1.25, 3e-3};
  c.output.frames = 4;
  return c;
}

}  // namespace dryfront
