// The resolved case reads back to an equal case, and depends on no other file.
#include <catch2/catch.hpp>
#include <fstream>
#include <string>
#include <vector>

#include "case_file_sample.hpp"
#include "files/case/key_table.hpp"

using namespace dryfront;

namespace {

// Structured bindings, so that a member added to a structure and forgotten here does not compile.
bool same(const Tissue& x, const Tissue& y) {
  const auto list = [](const Tissue& t) {
    const auto& [name, conductivity, at, per_C, rise, rise_A, rise_E, permittivity, density, heat, conduction,
                 conduction_per_C, dry_conduction, dry_heat, water, boil, latent, exponent, residual, floor, moisture,
                 gas, tortuosity, perfusion, blood_heat, blood, metabolic, source] = t;
    return std::pair(std::vector<std::string>{name, source},
                     std::vector<double>{conductivity, at,       per_C, rise,       rise_A,           rise_E,
                                         permittivity, density,  heat,  conduction, conduction_per_C, dry_conduction,
                                         dry_heat,     water,    boil,  latent,     exponent,         residual,
                                         floor,        moisture, gas,   tortuosity, perfusion,        blood_heat,
                                         blood,        metabolic});
  };
  return list(x) == list(y);
}

bool same(const Layer& x, const Layer& y) {
  const auto& [tissue, thickness] = x;
  return same(tissue, y.tissue) && thickness == y.thickness;
}

bool same(const Specimen& x, const Specimen& y) {
  const auto& [layers, symmetry, length, radius, depth, start, surroundings, air, side, bottom, pad, pad_inner,
               side_heat, bottom_heat] = x;
  if (layers.size() != y.layers.size()) return false;
  for (std::size_t k = 0; k < layers.size(); ++k) {
    if (!same(layers[k], y.layers[k])) return false;
  }
  return symmetry == y.symmetry && length == y.length && radius == y.radius && depth == y.depth && start == y.start &&
         surroundings == y.surroundings && air == y.air_heat_transfer && side == y.side_voltage &&
         bottom == y.bottom_voltage && pad == y.pad_radius && pad_inner == y.pad_inner_radius &&
         side_heat == y.side_heat && bottom_heat == y.bottom_heat;
}

bool same(const Electrode& x, const Electrode& y) {
  const auto& [shape, radius, inner, press, length, edge, contact, conductance, fraction, pitch, skin, gap, heat,
               transfer, capacity] = x;
  return shape == y.shape && radius == y.radius && inner == y.inner_radius && press == y.press && length == y.length &&
         edge == y.edge_radius && contact == y.contact && conductance == y.conductance &&
         fraction == y.contact_fraction && pitch == y.spot_pitch && skin == y.interface_depth && gap == y.gap &&
         heat == y.heat && transfer == y.heat_transfer && capacity == y.capacity;
}

bool same(const Mode& x, const Mode& y) { return x == y; }

bool same(const Physics& x, const Physics& y) { return x == y; }

bool same(const DamagePair& x, const DamagePair& y) {
  const auto& [name, frequency, energy, floor, source] = x;
  return name == y.name && frequency == y.frequency && energy == y.energy && floor == y.floor && source == y.source;
}

bool same(const Effect& x, const Effect& y) {
  const auto& [name, of, pair, at] = x;
  return name == y.name && of == y.of && pair == y.pair && at == y.at;
}

bool same(const Probe& x, const Probe& y) {
  const auto& [name, r, z] = x;
  return name == y.name && r == y.r && z == y.z;
}

template <class Object>
bool same(const std::vector<Object>& x, const std::vector<Object>& y) {
  return std::equal(x.begin(), x.end(), y.begin(), y.end(),
                    [](const Object& a, const Object& b) { return same(a, b); });
}

void check_equal(const Case& x, const Case& y) {
  const auto& [title, question, specimen, electrode, modes, physics, damage, effects, probes, grading, time, output,
               comparison, circuit, pad] = x;
  const auto& [fine, growth, coarse] = grading;
  const auto& [tolerance, longest] = time;
  const auto& [frames, fields] = output;
  const auto& [basis] = comparison;
  CHECK(title == y.title);
  CHECK(question == y.question);
  CHECK(same(specimen, y.specimen));
  CHECK(same(electrode, y.electrode));
  CHECK(same(modes, y.modes));
  CHECK(same(physics, y.physics));
  CHECK(same(damage, y.damage));
  CHECK(same(effects, y.effects));
  CHECK(same(probes, y.probes));
  CHECK(fine == y.grading.fine);
  CHECK(growth == y.grading.growth);
  CHECK(coarse == y.grading.coarse);
  CHECK(tolerance == y.time.tolerance);
  CHECK(longest == y.time.longest);
  CHECK(frames == y.output.frames);
  CHECK(fields == y.output.fields);
  CHECK(basis == y.comparison.basis);
  CHECK(circuit == y.circuit);
  CHECK(pad == y.pad);
}

// Neither the tissue library nor data files are at hand when the resolved case is read.
void check_round_trip(const Case& c) {
  const std::string text = resolved_toml(c);
  INFO(text);
  const Case again = parse_case(text, "resolved.toml", {}, "no_such_directory", "no_such_directory");
  check_equal(c, again);
  CHECK(resolved_toml(again) == text);
}

}  // namespace

TEST_CASE("The sample case survives the round trip") { check_round_trip(parsed(sample_text())); }

TEST_CASE("A case with every key away from its default survives the round trip") {
  const std::string text = R"(
title = "Quotes \" and \\ and a line\nend, and \u0001"
question = "Grüße?"
[specimen]
layers = [{ tissue = "skin_wet", thickness_mm = 1.7 }, { tissue = "fat", thickness_mm = 3.1 }, { tissue = "mine" },]
symmetry = "plane"
length_mm = 17.3
radius_mm = 31.7
depth_mm = 23.3
start_C = 21.3
surroundings_C = 19.1
air_W_m2K = 7.3
side_voltage = "insulated"
bottom_voltage = "pad"
pad_radius_mm = 17.9
pad_inner_radius_mm = 3.3
side_heat = "insulated"
[electrode]
shape = "ring"
radius_mm = 5.9
inner_radius_mm = 1.3
press_mm = 0.7
length_mm = 0.3
edge_radius_mm = 0.45
contact = "conductance"
contact_S_m2 = 333.3
contact_fraction = 0.37
spot_pitch_mm = 0.77
interface_mm = 0.13
gap_mm = 0.011
heat = "held"
heat_W_m2K = 777
capacity_J_K = 3.3
[[mode]]
name = "damped"
activation_s = 3.3
after_s = 1.1
waveform = { kind = "damped", carrier_kHz = 433.3, repeat_kHz = 27.7, decay_us = 3.7 }
source = { kind = "voltage", rms_V = 33.3, peak_limit_V = 999.9, current_limit_A = 1.9 }
[[mode]]
name = "sampled"
waveform = { kind = "sampled", time_s = [0, 0.7e-6, 1.3e-6], samples = [0.1, -0.3, 0.7] }
source = { kind = "table", setting_W = 37.7, load_ohm = [11.1, 333.3], power_share = [0.3, 0.7] }
[[mode]]
name = "flat"
source = { kind = "constant_power", setting_W = 33.3, flat_ohm = [77.7, 1111.1] }
[[mode]]
name = "held"
source = { kind = "temperature", setting_W = 7.7, hold_C = 66.6, probe = "p", hold_s = 3.3, peak_limit_V = 190 }
[physics]
boil_off = false
moisture = false
arcing = false
eschar = false
breakdown = false
perfusion = false
conductivity_rises = false
bound_water = true
vapour = true
rim_arcing = true
pressed_out_water = true
pressed_m2_s = 3e-9
pressed_loss = 0.15
bound_onset_K = 3.3
bound_tail_K = 31
steam_kept = 0.25
strike_V = 211.1
strike_spread = 0.13
spark_law = "channels"
spark_S_m2 = 23.3
spark_channels = 4.5
spark_drop_V = 61
spark_root_A_m2 = 2.5e7
spark_heat_share = 0.61
eschar_um = 27.7
breakdown_MV_m = 1.3
arc_S_m = 0.077
leak_S_m2 = 0.0023
[tissue.fat]
conductivity_S_m = 0.051
[tissue.mine]
conductivity_S_m = 0.23
density_kg_m3 = 1033.3
heat_J_kgK = 3456.7
conduction_W_mK = 0.511
water_fraction = 0.71
conduction_per_C = 0.0011
coagulation_rise = 0.3
coagulation_frequency_1_s = 1.95e36
coagulation_energy_J_mol = 2.515e5
moisture_m2_s = 3.3e-9
gas_fraction = 0.13
tortuosity = 0.41
[[damage]]
name = "first"
frequency_1_s = 3.1e98
energy_J_mol = 6.28e5
[[damage]]
name = "second"
frequency_1_s = 7.39e39
energy_J_mol = 2.577e5
floor_C = 44.4
source = "somewhere"
[[effect]]
name = "white"
of = "damage:second"
at = 0.53
[[effect]]
name = "hot"
of = "temperature"
at = 60.6
[[effect]]
name = "desiccation"
of = "dry"
at = 0.37
[[effect]]
name = "charred"
of = "peak_temperature"
at = 222.2
[[effect]]
name = "minutes"
of = "cem43"
at = 240
[[probe]]
name = "p"
r_mm = 1.1
z_mm = 2.3
[grid]
fine_mm = 0.037
growth = 1.13
coarse_mm = 0.83
[time]
tolerance = 0.033
longest_s = 0.31
[comparison]
basis = "energy"
[output]
frames = 17
fields = ["temperature_C", "omega_second"]
)";
  const Case c = parsed(text);
  CHECK(c.title == "Quotes \" and \\ and a line\nend, and \x01");
  CHECK(c.specimen.layers.at(2).tissue.conduction == 0.511);
  CHECK(c.specimen.symmetry == Symmetry::plane);
  CHECK(c.effects.at(0).pair == 1);
  CHECK(c.modes.at(1).source.power == std::vector<double>{0.3 * 37.7, 0.7 * 37.7});
  check_round_trip(c);
}

TEST_CASE("The cases of the repository are read and survive the round trip") {
  int found = 0;
  for (const auto& entry : std::filesystem::directory_iterator(tissue_library().parent_path())) {
    if (entry.path().extension() != ".toml") continue;
    ++found;
    INFO(entry.path());
    check_round_trip(read_case(entry.path(), {}, tissue_library()));
  }
  CHECK(found >= 4);
}

TEST_CASE("Tables from files become part of the resolved case") {
  const ScratchDirectory scratch("round_trip");
  std::ofstream(scratch.path() / "wave.csv") << "time_s, volt\n0, 0\n3.3e-7, 1.7\n7.7e-7, -0.3\n";
  std::ofstream(scratch.path() / "power.txt") << "# load, share of the setting\n20\t0.3\n300\t0.97\n";
  const std::string text = replaced(sample_text(), "source = { kind = \"constant_power\", setting_W = 50 }",
                                    "waveform = { kind = \"sampled\", file = \"wave.csv\" }\n"
                                    "source = { kind = \"table\", setting_W = 47.1, file = \"power.txt\" }");
  std::ofstream(scratch.path() / "case.toml") << text;
  const Case c = read_case(scratch.path() / "case.toml", {}, tissue_library());
  CHECK(c.modes.at(0).waveform.time == std::vector<double>{0, 3.3e-7, 7.7e-7});
  CHECK(c.modes[0].waveform.voltage == std::vector<double>{0, 1.7, -0.3});
  CHECK(c.modes[0].source.load == std::vector<double>{20, 300});
  CHECK(c.modes[0].source.power == std::vector<double>{0.3 * 47.1, 0.97 * 47.1});
  check_round_trip(c);
}

TEST_CASE("Every default survives the conversion to the key's unit and back") {
  const Case c = parsed("[specimen]\ntissue = \"fat\"\n[[mode]]\nname = \"d\"\nsource = { setting_W = 1 }\n");
  CHECK(c.grading.fine == Grading{}.fine);
  CHECK(parsed(resolved_toml(c)).grading.fine == Grading{}.fine);
  CHECK(parsed(resolved_toml(c)).physics.eschar_thickness == Physics{}.eschar_thickness);
  CHECK(parsed(resolved_toml(c)).modes.at(0).waveform.decay == Waveform{}.decay);
}
