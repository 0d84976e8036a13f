// A plan over a small case, as text to be changed by the tests of plans and sweeps. Every number is our own.
#pragma once

#include <filesystem>
#include <string>

#include "files/plan/plan_file.hpp"

inline const std::string sample_plan_case = R"(
[specimen]
tissue = "gel"
radius_mm = 20
depth_mm = 20
[electrode]
shape = "disc"
radius_mm = 3
[[mode]]
name = "continuous"
activation_s = 2
source = { kind = "constant_power", setting_W = 20 }
[[mode]]
name = "half"
activation_s = 2
waveform = { kind = "gated", duty = 0.5, repeat_kHz = 25 }
source = { kind = "constant_power", setting_W = 20 }
[[mode]]
name = "interrupted"
activation_s = 2
waveform = { kind = "gated", duty = 0.06, repeat_kHz = 24 }
source = { kind = "unregulated", setting_W = 20 }
[tissue.gel]
source = "made up for this test"
conductivity_S_m = 0.5
density_kg_m3 = 1000
heat_J_kgK = 3600
conduction_W_mK = 0.5
water_fraction = 0.9
[[damage]]
name = "gel"
frequency_1_s = 7.39e39
energy_J_mol = 2.577e5
)";

inline const std::string sample_plan = R"(case = "case.toml"
seed = 5
modes = ["interrupted", "continuous"]
[set]
grid.fine_mm = 0.3
"mode.*.activation_s" = 1.5
[axis.setting]
key = "mode.*.source.setting_W"
range = { from = 10, to = 30, points = 3 }
[axis.contact]
key = "electrode.contact_fraction"
log_range = { from = 0.1, to = 1, points = 2 }
[axis.spark]
key = "physics.spark_S_m2"
distribution = "triangular"
low = 10
mode = 20
high = 40
[axis.eschar]
key = "physics.eschar"
list = [true, false]
)";

inline const std::filesystem::path sample_tissues = DRYFRONT_SOURCE_DIR "/cases/tissue";

// The sample's head with the designs and whatever else is given.
inline dryfront::Plan sample_plan_with(const std::string& more, const std::string& head = sample_plan) {
  return dryfront::parse_plan(head + more, "folder/plan.toml", sample_tissues, &sample_plan_case);
}
