// Values set from the command line.
#include <catch2/catch.hpp>
#include <string>

#include "case_file_sample.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

std::string two_modes() {
  return sample_text() + "[[mode]]\nname = \"gated\"\nwaveform = { kind = \"gated\", duty = 0.06 }\n" +
         "source = { kind = \"unregulated\", setting_W = 50 }\n";
}

}  // namespace

TEST_CASE("Overrides reach every part of a case") {
  const Case c = parsed(
      two_modes(), {"mode.0.source.setting_W=30", "mode.gated.activation_s=4", "mode.*.after_s = 2",
                    "tissue.liver_ex_vivo.conductivity_S_m=0.3", "physics.arcing=false",
                    "specimen.far_voltage=grounded", "grid.fine_mm=0.1", "title=two words", "electrode.shape=\"ring\"",
                    "electrode.inner_radius_mm=2", "mode.gated.source={ kind = \"constant_power\", setting_W = 7 }"});
  CHECK(c.modes.at(0).source.setting == 30);
  CHECK(c.modes[0].activation == 10);
  CHECK(c.modes.at(1).activation == 4);
  CHECK(c.modes[0].after == 2);
  CHECK(c.modes[1].after == 2);
  CHECK(c.modes[1].source.kind == SourceKind::constant_power);
  CHECK(c.modes[1].source.setting == 7);
  CHECK(c.specimen.layers.at(0).tissue.conductivity == 0.3);
  CHECK(c.specimen.layers[0].tissue.density == 1079);
  CHECK_FALSE(c.physics.arcing);
  CHECK(c.specimen.side_voltage == FarVoltage::grounded);
  CHECK(c.specimen.bottom_voltage == FarVoltage::grounded);
  CHECK(c.grading.fine == 1e-4);
  CHECK(c.title == "two words");
  CHECK(c.electrode.shape == ElectrodeShape::ring);
}

TEST_CASE("The last of several overrides of a key holds") {
  CHECK(parsed(sample_text(), {"mode.0.activation_s=4", "mode.0.activation_s=5"}).modes.at(0).activation == 5);
}

TEST_CASE("Layers, lists and new tables can be set") {
  const Case c = parsed(sample_text(), {"specimen.tissue=muscle", "output.fields=[\"temperature_C\"]",
                                        "probe=[{ name = \"p\", r_mm = 1, z_mm = 2 }]"});
  CHECK(c.specimen.layers.at(0).tissue.name == "muscle");
  CHECK(c.output.fields == std::vector<std::string>{"temperature_C"});
  CHECK(c.probes.at(0).z == 0.002);
}

TEST_CASE("A changed tissue says in its source what the case changed") {
  const Tissue tissue =
      parsed(sample_text(), {"tissue.liver_ex_vivo.conductivity_S_m=0.3"}).specimen.layers.at(0).tissue;
  CHECK_THAT(tissue.source, Contains("conductivity_S_m: stated by the case\n"));
  CHECK_THAT(tissue.source, !Contains("conductivity_S_m: ex-vivo"));
  CHECK_THAT(tissue.source, Contains("density_kg_m3: "));
}

TEST_CASE("A misspelt or impossible override is an error that quotes it") {
  const auto refused = [](const std::string& override_text) { return refusal(two_modes(), {override_text}); };
  CHECK_THAT(refused("mode.0.source.seting_W=50"),
             StartsWith("--set mode.0.source.seting_W=50: unknown key 'mode.0.source.seting_W'"));
  CHECK_THAT(refused("mode.0.source.seting_W=50"), Contains("did you mean 'setting_W'?"));
  CHECK_THAT(refused("mode.0.source.setting_W=fifty"),
             StartsWith("--set mode.0.source.setting_W=fifty: mode.0.source.setting_W is a text"));
  CHECK_THAT(refused("mode.0.source.setting_W=-5"),
             StartsWith("--set mode.0.source.setting_W=-5: mode.0.source.setting_W is out of range"));
  CHECK_THAT(refused("mode.0.source.setting_W=nan"), Contains("is not finite"));
  CHECK_THAT(refused("physic.arcing=false"), StartsWith("--set physic.arcing=false: unknown key 'physic'"));
  CHECK_THAT(refused("physics.arcng=false"), StartsWith("--set physics.arcng=false: unknown key 'physics.arcng'"));
  CHECK_THAT(refused("mode.2.activation_s=4"), StartsWith("--set mode.2.activation_s=4: finds no entry '2'"));
  CHECK_THAT(refused("mode.gatd.activation_s=4"), Contains("did you mean 'gated'?"));
  CHECK_THAT(refused("mode.0=4"), StartsWith("--set mode.0=4: does not lead to a key"));
  CHECK_THAT(refused("mode.0.activation_s.x=4"),
             StartsWith("--set mode.0.activation_s.x=4: mode.0.activation_s is a table"));
  CHECK_THAT(refused("electrode.radius_mm=31"),
             StartsWith("--set electrode.radius_mm=31: electrode.radius_mm is wider than the specimen"));
  CHECK_THAT(refused("tissue.liver_exvivo.conductivity_S_m=0.3"), Contains("did you mean 'liver_ex_vivo'?"));
  CHECK_THAT(refused("tissue.fat.conductivity_S_m=0.3"),
             StartsWith("--set tissue.fat.conductivity_S_m=0.3: tissue.fat.conductivity_S_m changes nothing"));
  CHECK_THAT(refused("mode.0.activation_s"), StartsWith("--set mode.0.activation_s: is not an override"));
  CHECK_THAT(refused("=4"), StartsWith("--set =4: is not an override"));
  CHECK_THAT(refused("mode.0.activation_s="), StartsWith("--set mode.0.activation_s=: has no value"));
  CHECK_THAT(refused("mode..activation_s=4"), Contains("has an empty name in its path"));
  CHECK_THAT(refused("mode.0.activation_s=4 5"), Contains("has a value that cannot be read"));
  CHECK_THAT(refused("mode.0.source={ kind = "), Contains("has a value that cannot be read"));
  CHECK_THAT(refused("mode.0.activation_s=4\ntitle=\"x\""), Contains("sets more than one key"));
}
