// Every way a case file can be wrong, with the whole text of the message or the part that matters.
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "case_file_sample.hpp"
#include "files/case/tissue_library.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

struct Refused {
  std::string old, fresh;          // what is replaced in the sample
  std::string begins;              // how the message begins: place and what is wrong
  std::vector<std::string> holds;  // further parts of it
};

void check(const std::vector<Refused>& cases) {
  for (const Refused& c : cases) {
    const std::string message = refusal(replaced(sample_text(), c.old, c.fresh));
    INFO(c.fresh << "\n" << message);
    CHECK_THAT(message, StartsWith(c.begins));
    for (const std::string& part : c.holds) CHECK_THAT(message, Contains(part));
  }
}

}  // namespace

TEST_CASE("The sample case is read") {
  const Case c = parsed(sample_text());
  CHECK(c.specimen.radius == 0.03);
  CHECK(c.electrode.radius == 0.006);
  REQUIRE(c.modes.size() == 1);
  CHECK(c.modes[0].source.setting == 50);
  CHECK(c.specimen.layers.at(0).tissue.conductivity == 0.35);
  CHECK(c.specimen.layers[0].thickness == c.specimen.depth);
}

TEST_CASE("A refusal says where, what was given, what is allowed and what was probably meant") {
  CHECK(refusal(replaced(sample_text(), "radius_mm = 6", "radius_cm = 0.6")) ==
        "case.toml:5:1: unknown key 'electrode.radius_cm': its unit has to be mm\n"
        "  given: radius_cm = 0.6\n"
        "  allowed: shape, radius_mm, inner_radius_mm, press_mm, length_mm, edge_radius_mm, contact, contact_S_m2, "
        "contact_fraction, spot_pitch_mm, interface_mm, gap_mm, heat, heat_W_m2K, capacity_J_K\n"
        "  did you mean 'radius_mm'?");
  CHECK(refusal(replaced(sample_text(), "radius_mm = 6", "radius_mm = -6")) ==
        "case.toml:5:13: electrode.radius_mm is out of range\n"
        "  given: radius_mm = -6\n"
        "  allowed: a number >= 0.001 and <= 500 [mm]");
}

TEST_CASE("Unknown keys are refused with the nearest valid name") {
  check({
      {"radius_mm = 30",
       "raduis_mm = 30",
       "case.toml:3:1: unknown key 'specimen.raduis_mm'",
       {"did you mean 'radius_mm'?"}},
      {"radius_mm = 30",
       "radius = 30",
       "case.toml:3:1: unknown key 'specimen.radius': its unit has to be mm",
       {"did you mean 'radius_mm'?"}},
      {"radius_mm = 30",
       "start_K = 295",
       "case.toml:3:1: unknown key 'specimen.start_K': its unit has to be C",
       {"did you mean 'start_C'?"}},
      {"radius_mm = 30",
       "press_mm = 3",
       "case.toml:3:1: unknown key 'specimen.press_mm': it belongs in [electrode]",
       {}},
      {"[electrode]", "[elektrode]", "case.toml:4:2: unknown key 'elektrode'", {"did you mean 'electrode'?"}},
      {"setting_W = 50",
       "setting_w = 50",
       "case.toml:8:37: unknown key 'mode.0.source.setting_w'",
       {"did you mean 'setting_W'?"}},
      {"setting_W = 50",
       "setting_kW = 0.05",
       "case.toml:8:37: unknown key 'mode.0.source.setting_kW': its unit has to be W",
       {"given: setting_kW = 0.05\n", "did you mean 'setting_W'?"}},
      {"[electrode]", "[physics]\nstrik_V = 3\n[electrode]", "case.toml:5:1: unknown key 'physics.strik_V'", {}},
      {"[electrode]",
       "[tissue.liver_ex_vivo]\nconductivity_flor = 1\n[electrode]",
       "case.toml:5:1: unknown key 'tissue.liver_ex_vivo.conductivity_flor'",
       {"did you mean 'conductivity_floor'?"}},
      {"[electrode]",
       "[[probe]]\nname = \"p\"\nr_mm = 0\nx_mm = 1\n[electrode]",
       "case.toml:7:1: unknown key 'probe.0.x_mm'",
       {}},
  });
}

TEST_CASE("Values of the wrong kind, out of range or not finite are refused") {
  check({
      {"radius_mm = 30",
       "radius_mm = \"30\"",
       "case.toml:3:13: specimen.radius_mm is a text",
       {"given: radius_mm = ", "a number > 0 and <= 1000 [mm]"}},
      {"radius_mm = 30", "radius_mm = true", "case.toml:3:13: specimen.radius_mm is a flag", {}},
      {"radius_mm = 30", "radius_mm = [30]", "case.toml:3:13: specimen.radius_mm is a list", {}},
      {"radius_mm = 30", "radius_mm = 2020-01-01", "case.toml:3:13: specimen.radius_mm is a date or time", {}},
      {"radius_mm = 30", "radius_mm = 0", "case.toml:3:13: specimen.radius_mm is out of range", {}},
      {"radius_mm = 30", "radius_mm = 1e9", "case.toml:3:13: specimen.radius_mm is out of range", {}},
      {"radius_mm = 30", "radius_mm = inf", "case.toml:3:13: specimen.radius_mm is not finite", {}},
      {"radius_mm = 30", "radius_mm = nan", "case.toml:3:13: specimen.radius_mm is not finite", {}},
      {"tissue = \"liver_ex_vivo\"", "tissue = 3", "case.toml:2:10: specimen.tissue is a number", {"a text in quotes"}},
      {"[electrode]",
       "[physics]\narcing = 1\n[electrode]",
       "case.toml:5:10: physics.arcing is a number",
       {"true or false"}},
      {"[electrode]", "[output]\nframes = 2.5\n[electrode]", "case.toml:5:10: output.frames is not a whole number", {}},
      {"[electrode]", "[output]\nfields = [1]\n[electrode]", "case.toml:5:11: output.fields is a number", {}},
      {"[electrode]",
       "[output]\nfields = [\"temperature\"]\n[electrode]",
       "case.toml:5:10: output.fields has no field 'temperature'",
       {"did you mean 'temperature_C'?"}},
      {"[[mode]]", "[mode]", "case.toml:6:1: mode is a table", {"a list of tables"}},
      {"source = { kind = \"constant_power\", setting_W = 50 }",
       "source = \"constant_power\"",
       "case.toml:8:10: mode.0.source is a text",
       {"a table { key = value, ... }"}},
  });
  CHECK_THAT(refusal("specimen = 3\nmode = []\n"), StartsWith("case.toml:1:12: specimen is a number"));
}

TEST_CASE("Unknown choices are refused with the nearest") {
  check({
      {"\"constant_power\"",
       "\"constant_powr\"",
       "case.toml:8:19: mode.0.source.kind has no choice 'constant_powr'",
       {"one of constant_power, unregulated, table, voltage", "did you mean 'constant_power'?"}},
      {"radius_mm = 30",
       "far_voltage = \"half-space\"",
       "case.toml:3:15: specimen.far_voltage has no choice 'half-space'",
       {"one of half_space, grounded, insulated", "did you mean 'half_space'?"}},
      {"radius_mm = 30", "side_voltage = \"pad\"", "case.toml:3:16: specimen.side_voltage has no choice 'pad'", {}},
      {"radius_mm = 6",
       "shape = \"disk\"",
       "case.toml:5:9: electrode.shape has no choice 'disk'",
       {"did you mean 'disc'?"}},
      {"[electrode]",
       "[comparison]\nbasis = \"same_power\"\n[electrode]",
       "case.toml:5:9: comparison.basis has no choice 'same_power'",
       {"one of as_given, same_setting, mean_power, energy, dry_out"}},
  });
}

TEST_CASE("What is missing is named, with what it means") {
  check({
      {"name = \"continuous\"\n", "", "case.toml:6:1: missing mode.0.name", {"given: nothing"}},
      {"source = { kind = \"constant_power\", setting_W = 50 }", "", "case.toml:6:1: missing mode.0.source", {}},
      {", setting_W = 50", "", "case.toml:8:10: mode.0.source.setting_W is missing", {"a number > 0 [W]"}},
      {"kind = \"constant_power\", setting_W = 50",
       "kind = \"voltage\"",
       "case.toml:8:10: mode.0.source.rms_V is missing",
       {}},
      {"kind = \"constant_power\"", "kind = \"table\"", "case.toml:8:10: missing mode.0.source.file", {}},
      {"[[mode]]", "[[mode]]\nwaveform = { kind = \"gated\" }", "case.toml:7:12: missing mode.0.waveform.duty", {}},
      {"[[mode]]", "[[mode]]\nwaveform = { kind = \"sampled\" }", "case.toml:7:12: missing mode.0.waveform.file", {}},
      {"tissue = \"liver_ex_vivo\"\n", "", "case.toml:1:1: specimen.tissue is missing", {"or layers = "}},
      {"radius_mm = 6", "shape = \"ring\"", "case.toml:4:1: electrode.inner_radius_mm is missing for a ring", {}},
      {"radius_mm = 6", "shape = \"dome\"", "case.toml:4:1: electrode.press_mm is missing for a dome", {}},
      {"radius_mm = 6", "shape = \"rod\"", "case.toml:4:1: electrode.length_mm is missing for a rod", {}},
      {"radius_mm = 6", "contact = \"gap\"", "case.toml:4:1: electrode.gap_mm is missing for a gap", {}},
      {"radius_mm = 6", "contact = \"conductance\"", "case.toml:4:1: electrode.contact_S_m2 is missing", {}},
      {"radius_mm = 30", "bottom_voltage = \"pad\"", "case.toml:1:1: specimen.pad_radius_mm is missing for a pad", {}},
      {"[electrode]", "[[probe]]\nname = \"p\"\nr_mm = 0\n[electrode]", "case.toml:4:1: missing probe.0.z_mm", {}},
      {"[electrode]", "[[effect]]\nname = \"e\"\nof = \"dry\"\n[electrode]", "case.toml:4:1: missing effect.0.at", {}},
      {"[electrode]",
       "[[damage]]\nname = \"d\"\nfrequency_1_s = 1e40\n[electrode]",
       "case.toml:4:1: missing damage.0.energy_J_mol",
       {}},
  });
  CHECK_THAT(refusal("[[mode]]\nname = \"a\"\n"), StartsWith("case.toml:1:1: missing specimen"));
  CHECK_THAT(refusal("[specimen]\ntissue = \"fat\"\n"), StartsWith("case.toml:1:1: missing mode"));
  CHECK_THAT(refusal("mode = []\n[specimen]\ntissue = \"fat\"\n"), StartsWith("case.toml:1:8: mode is an empty list"));
}

TEST_CASE("Tissues that are not there are refused") {
  check({
      {"liver_ex_vivo",
       "liver_exvivo",
       "case.toml:2:10: specimen.tissue names an unknown tissue",
       {"one of " + joined(library_names(tissue_library())), "did you mean 'liver_ex_vivo'?"}},
      {"tissue = \"liver_ex_vivo\"",
       "layers = [{ tissue = \"fatt\" }]",
       "case.toml:2:22: specimen.layers.0.tissue names an unknown tissue",
       {"did you mean 'fat'?"}},
      {"[electrode]",
       "[tissue.mine]\ndensity_kg_m3 = 1000\n[electrode]",
       "case.toml:4:1: missing tissue.mine.conductivity_S_m",
       {}},
      {"[electrode]",
       "[tissue.liver_exvivo]\ndensity_kg_m3 = 1000\n[electrode]",
       "case.toml:4:1: tissue.liver_exvivo is neither a tissue of the library nor a complete new one",
       {"did you mean 'liver_ex_vivo'?"}},
      {"[electrode]",
       "[tissue]\nliver_ex_vivo = 3\n[electrode]",
       "case.toml:5:17: tissue.liver_ex_vivo is not the table of a tissue",
       {}},
      {"tissue = \"liver_ex_vivo\"",
       "tissue = \"fat\"\nlayers = [{ tissue = \"fat\" }]",
       "case.toml:3:10: specimen.layers is given beside specimen.tissue",
       {}},
      {"tissue = \"liver_ex_vivo\"", "layers = []", "case.toml:2:10: specimen.layers is empty", {}},
      {"tissue = \"liver_ex_vivo\"",
       "layers = [{ tissue = \"fat\" }, { tissue = \"muscle\" }]",
       "case.toml:2:11: missing specimen.layers.0.thickness_mm",
       {}},
      {"tissue = \"liver_ex_vivo\"",
       "layers = [{ tissue = \"fat\", thickness_mm = 40 }, { tissue = \"muscle\" }]",
       "case.toml:2:10: specimen.layers are thicker than the specimen is deep",
       {"specimen.depth_mm = 40"}},
  });
}

TEST_CASE("A tissue that is like another is refused where that cannot be") {
  const std::string file = "case.toml:5:8: ";
  const auto like = [](const std::string& tissues) {
    return refusal(replaced(sample_text(), "[electrode]", tissues + "[electrode]"));
  };
  CHECK_THAT(
      like("[tissue.mine]\nlike = \"liver_exvivo\"\n"),
      StartsWith(file + "tissue.mine.like names an unknown tissue") && Contains("did you mean 'liver_ex_vivo'?"));
  CHECK_THAT(like("[tissue.mine]\nlike = \"min\"\n"), StartsWith(file) && !Contains("did you mean 'mine'"));
  CHECK_THAT(like("[tissue.mine]\nlike = 3\n"), StartsWith(file + "tissue.mine.like is a number"));
  CHECK_THAT(like("[tissue.mine]\nlike = \"mine\"\n"),
             StartsWith(file + "tissue.mine.like leads back to the tissue itself"));
  CHECK_THAT(like("[tissue.fat]\nlike = \"muscle\"\n"),
             StartsWith(file + "tissue.fat.like is given for a tissue that the library has"));
  // A ring is one problem, and those that rest on it are none of their own.
  const std::string ring = like("[tissue.b]\nlike = \"c\"\n[tissue.c]\nlike = \"b\"\n[tissue.a]\nlike = \"b\"\n");
  CHECK_THAT(ring, Contains("leads back to the tissue itself") && !Contains("problems"));
  CHECK_THAT(like("[tissue.mine]\nlike = \"yours\"\n[tissue.yours]\nlike = \"fatt\"\n"),
             StartsWith("case.toml:7:8: tissue.yours.like names an unknown tissue") && !Contains("problems"));
}

TEST_CASE("Sizes that do not fit are refused") {
  check({
      {"radius_mm = 6",
       "radius_mm = 31",
       "case.toml:5:13: electrode.radius_mm is wider than the specimen",
       {"<= 30 [mm]"}},
      {"radius_mm = 6",
       "shape = \"ring\"\nradius_mm = 6\ninner_radius_mm = 6",
       "case.toml:7:19: electrode.inner_radius_mm leaves nothing of the ring",
       {"< 6 [mm]"}},
      {"radius_mm = 6",
       "shape = \"dome\"\npress_mm = 7",
       "case.toml:6:12: electrode.press_mm presses the dome in too deep",
       {}},
      {"radius_mm = 6",
       "shape = \"rod\"\nlength_mm = 40",
       "case.toml:6:13: electrode.length_mm is longer than the specimen is deep",
       {}},
      {"radius_mm = 6",
       "shape = \"rod\"\nlength_mm = 4\nradius_mm = 30",
       "case.toml:7:13: electrode.radius_mm leaves no tissue beside the rod",
       {}},
      {"radius_mm = 30",
       "bottom_voltage = \"pad\"\npad_radius_mm = 50",
       "case.toml:4:17: specimen.pad_radius_mm is wider than the specimen",
       {}},
      {"radius_mm = 30",
       "bottom_voltage = \"pad\"\npad_radius_mm = 20\npad_inner_radius_mm = 20",
       "case.toml:5:23: specimen.pad_inner_radius_mm leaves nothing of the pad",
       {}},
      {"[electrode]",
       "[[probe]]\nname = \"p\"\nr_mm = 31\nz_mm = 1\n[electrode]",
       "case.toml:6:8: probe.0.r_mm is outside the specimen",
       {"<= 30 [mm]"}},
      {"[electrode]",
       "[[probe]]\nname = \"p\"\nr_mm = 0\nz_mm = 41\n[electrode]",
       "case.toml:7:8: probe.0.z_mm is outside the specimen",
       {"<= 40 [mm]"}},
      {"radius_mm = 6",
       "shape = \"rod\"\nlength_mm = 4\n[[probe]]\nname = \"p\"\nr_mm = 0\nz_mm = 1",
       "case.toml:10:8: probe.0.z_mm is inside the electrode",
       {}},
      {"[electrode]",
       "[grid]\nfine_mm = 1\ncoarse_mm = 0.5\n[electrode]",
       "case.toml:6:13: grid.coarse_mm is smaller than grid.fine_mm",
       {}},
      {"[electrode]",
       "[grid]\nfine_mm = 7\ncoarse_mm = 7\n[electrode]",
       "case.toml:5:11: grid.fine_mm does not resolve the electrode",
       {}},
      {"radius_mm = 30", "start_C = 100", "case.toml:3:11: specimen.start_C is not below the boiling temperature", {}},
      {"radius_mm = 30",
       "far_voltage = \"insulated\"",
       "case.toml:3:15: specimen.far_voltage leaves the current nowhere to go",
       {}},
  });
}

TEST_CASE("What symmetry about a plane needs and does not have is refused") {
  const std::string plane = "symmetry = \"plane\"\n";
  check({
      {"radius_mm = 30", plane + "far_voltage = \"grounded\"", "case.toml:1:1: specimen.length_mm is missing", {}},
      {"radius_mm = 30",
       "length_mm = 20",
       "case.toml:3:13: specimen.length_mm is given for symmetry about an axis",
       {"symmetry = \"plane\", or no length_mm"}},
      {"radius_mm = 30",
       plane + "length_mm = 20",
       "case.toml:1:1: specimen.far_voltage is half_space, which symmetry about a plane does not have",
       {"given: nothing", "grounded or insulated"}},
      {"radius_mm = 30",
       plane + "length_mm = 20\nfar_voltage = \"half_space\"",
       "case.toml:5:15: specimen.far_voltage is half_space",
       {}},
      {"radius_mm = 30",
       plane + "length_mm = 20\nfar_voltage = \"grounded\"\nbottom_voltage = \"half_space\"",
       "case.toml:6:18: specimen.bottom_voltage is half_space",
       {}},
      {"radius_mm = 30",
       plane + "length_mm = 20\nfar_voltage = \"insulated\"",
       "case.toml:5:15: specimen.far_voltage leaves the current nowhere to go",
       {"allowed: grounded for side or bottom"}},
  });
}

TEST_CASE("An edge that the electrode has not is refused") {
  check({
      {"radius_mm = 6",
       "radius_mm = 6\nedge_radius_mm = 0.5\nshape = \"dome\"\npress_mm = 1",
       "case.toml:6:18: electrode.edge_radius_mm is given for a shape without an edge beside its face",
       {"shape = \"disc\""}},
      {"radius_mm = 6", "radius_mm = 6\nedge_radius_mm = -1", "case.toml:6:18: electrode.edge_radius_mm", {}},
  });
}

TEST_CASE("Names used twice or unfit for a run file are refused") {
  const std::string second = "[[mode]]\nname = \"continuous\"\nsource = { kind = \"constant_power\", setting_W = 1 }\n";
  CHECK_THAT(refusal(sample_text() + second), StartsWith("case.toml:10:8: mode.1.name is used twice"));
  check({
      {"\"continuous\"",
       "\"a/b\"",
       "case.toml:7:8: mode.0.name cannot name a group of the run file",
       {"a letter, then letters, digits, _ and -"}},
      {"\"continuous\"", "\"\"", "case.toml:7:8: mode.0.name cannot name", {}},
      {"\"continuous\"", "\".\"", "case.toml:7:8: mode.0.name cannot name", {}},
      {"\"continuous\"", "\"2 percent\"", "case.toml:7:8: mode.0.name cannot name", {}},
      {"[electrode]",
       "[[effect]]\nname = \"a b\"\nof = \"dry\"\nat = 0.5\n[electrode]",
       "case.toml:5:8: effect.0.name cannot name",
       {}},
      {"[electrode]",
       "[[damage]]\nname = \"x/y\"\nfrequency_1_s = 1e40\nenergy_J_mol = 2e5\n[electrode]",
       "case.toml:5:8: damage.0.name cannot name",
       {}},
  });
}

TEST_CASE("Effects that cannot be judged are refused") {
  check({
      {"[electrode]",
       "[[effect]]\nname = \"e\"\nof = \"damage:livre\"\nat = 1\n[electrode]",
       "case.toml:6:6: effect.0.of refers to an unknown damage pair",
       {"damage:liver", "did you mean 'damage:liver'?"}},
      {"[electrode]",
       "[[effect]]\nname = \"e\"\nof = \"temprature\"\nat = 60\n[electrode]",
       "case.toml:6:6: effect.0.of is no known effect",
       {"did you mean 'temperature'?"}},
      {"[electrode]",
       "[[effect]]\nname = \"e\"\nof = \"dry\"\nat = 1\n[electrode]",
       "case.toml:7:6: effect.0.at is no share of water",
       {}},
  });
}

TEST_CASE("Waveforms and sources that contradict themselves are refused") {
  check({
      {"[[mode]]",
       "[[mode]]\nwaveform = { kind = \"continuous\", duty = 0.06 }",
       "case.toml:7:42: mode.0.waveform.duty is given for a continuous waveform",
       {}},
      {"[[mode]]",
       "[[mode]]\nwaveform = { kind = \"gated\", duty = 1.2 }",
       "case.toml:7:37: mode.0.waveform.duty is out of range",
       {}},
      {"[[mode]]",
       "[[mode]]\nwaveform = { kind = \"sampled\", time_s = [0, 1, 2], samples = [1, 2] }",
       "case.toml:7:62: mode.0.waveform.samples does not match time_s",
       {"3 numbers"}},
      {"[[mode]]",
       "[[mode]]\nwaveform = { kind = \"sampled\", time_s = [0, 1], samples = [0, 0] }",
       "case.toml:7:12: mode.0.waveform is no usable waveform",
       {}},
      {"kind = \"constant_power\"",
       "kind = \"constant_power\", flat_ohm = [1000, 100]",
       "case.toml:8:48: mode.0.source.flat_ohm is no range of loads",
       {"the lower one first"}},
      {"kind = \"constant_power\"",
       "kind = \"constant_power\", flat_ohm = [100]",
       "case.toml:8:48: mode.0.source.flat_ohm is no range of loads",
       {}},
      {"kind = \"constant_power\"",
       "kind = \"table\", load_ohm = [5, 10], power_share = [1, 1], flat_ohm = [100, 1000]",
       "case.toml:8:81: mode.0.source.flat_ohm is given for a source of kind table",
       {"constant_power"}},
      {"kind = \"constant_power\"",
       "kind = \"table\", load_ohm = [10, 5], power_share = [1, 1]",
       "case.toml:8:39: mode.0.source.load_ohm has loads that do not increase",
       {}},
      {"kind = \"constant_power\"",
       "kind = \"table\", load_ohm = [5, 10], power_share = [1]",
       "case.toml:8:62: mode.0.source.power_share does not match load_ohm",
       {}},
      {"kind = \"constant_power\"",
       "kind = \"table\", load_ohm = [5, 10], power_share = [1, -1]",
       "case.toml:8:62: mode.0.source.power_share has a negative power",
       {}},
  });
}

TEST_CASE("What is not TOML is refused where it stops being TOML") {
  CHECK_THAT(refusal("[specimen]\ntissue = \n"), StartsWith("case.toml:2:"));
  CHECK_THAT(refusal("[specimen]\nradius_mm = 3\nradius_mm = 4\n"), StartsWith("case.toml:3:"));
}

TEST_CASE("perfused layers share one temperature of the blood") {
  const std::string layers =
      replaced(sample_text(), "tissue = \"liver_ex_vivo\"",
               "layers = [{ tissue = \"fat\", thickness_mm = 2 }, { tissue = \"muscle\", thickness_mm = 9 }]");
  CHECK(refusal(layers).empty());
  CHECK_THAT(refusal(layers + "[tissue.muscle]\nblood_C = 30\n"),
             StartsWith("case.toml:2:10: specimen.layers have blood of two temperatures (fat, muscle)") &&
                 Contains("one blood_C for all perfused layers"));
}

TEST_CASE("a conductivity that would vanish above 0 C is refused") {
  CHECK(
      refusal(sample_text() + "[tissue.liver_ex_vivo]\nconductivity_at_C = 40\nconductivity_per_C = 0.024\n").empty());
  CHECK_THAT(refusal(sample_text() + "[tissue.liver_ex_vivo]\nconductivity_at_C = 40\nconductivity_per_C = 0.03\n"),
             Contains("tissue.liver_ex_vivo.conductivity_per_C leaves no electric conductivity at 0 C") &&
                 Contains("< 1/conductivity_at_C = 0.025"));
}

TEST_CASE("A source that holds a temperature needs a probe of the case and a temperature above the start") {
  const std::string probes =
      "[[probe]]\nname = \"below\"\nr_mm = 0\nz_mm = 1\n[[probe]]\nname = \"beside\"\nr_mm = 8\nz_mm = 0\n";
  const auto held = [&](const std::string& source, const std::string& more) {
    return replaced(sample_text(), "kind = \"constant_power\", setting_W = 50", source) + more;
  };
  const std::string all = "kind = \"temperature\", setting_W = 50, hold_C = 60, probe = \"below\"";
  CHECK(refusal(held(all, probes)).empty());
  const std::string misspelt = refusal(held(replaced(all, "below", "bellow"), probes));
  CHECK_THAT(misspelt, StartsWith("case.toml:8:"));
  CHECK_THAT(misspelt, Contains("mode.0.source.probe names no probe of the case"));
  CHECK_THAT(misspelt, Contains("allowed: one of below, beside") && Contains("did you mean 'below'?"));
  CHECK_THAT(refusal(held(all, "")), Contains("of which the case has none"));
  CHECK_THAT(refusal(held(replaced(all, ", probe = \"below\"", ""), probes)), Contains("probe is missing"));
  const std::string cold = refusal(held(replaced(all, "60", "22"), probes));
  CHECK_THAT(cold, Contains("mode.0.source.hold_C is not above the temperature at the start"));
  CHECK_THAT(cold, Contains("allowed: > 22 [C]"));
  CHECK_THAT(refusal(held(replaced(all, ", hold_C = 60", ""), probes)), Contains("hold_C"));
  CHECK_THAT(refusal(held(replaced(all, "setting_W = 50, ", ""), probes)), Contains("setting_W"));
}

TEST_CASE("A pair of the rise's own needs its energy") {
  const std::string rise = "[tissue.liver_ex_vivo]\ncoagulation_rise = 1\ncoagulation_frequency_1_s = 1.95e36\n";
  CHECK_THAT(refusal(sample_text() + rise + "coagulation_energy_J_mol = 0\n"),
             Contains("coagulation_energy_J_mol is missing or too small for a pair"));
  CHECK(refusal(sample_text() + rise + "coagulation_energy_J_mol = 2.515e5\n").empty());
}
