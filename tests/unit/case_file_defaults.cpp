// Defaults that depend on the case, and the key table's reference.
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>
#include <string>

#include "case_file_sample.hpp"
#include "files/case/key_table.hpp"
#include "physics/damage.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;

TEST_CASE("The damage pair is the usual one of the top layer's tissue") {
  const Case liver = parsed(sample_text());
  REQUIRE(liver.damage.size() == 1);
  CHECK(liver.damage[0].name == "liver");
  CHECK(liver.damage[0].frequency == 5.51e41);  // Jacques (from memory): whitening
  CHECK(liver.damage[0].energy == 2.769e5);
  CHECK(liver.damage[0].floor == 43);
  const Case layered =
      parsed(replaced(sample_text(), "tissue = \"liver_ex_vivo\"",
                      "layers = [{ tissue = \"skin_wet\", thickness_mm = 2 }, { tissue = \"muscle\" }]"));
  CHECK(layered.damage.at(0).name == "skin_burn");
  // What the skin's pair has to give at a constant temperature: 6 h to a burn at 44 C were observed (Moritz and
  // Henriques 1947, second-hand) and 6.4 h stated for it, 659 s at 49 C (from memory).
  const DamagePairRates burn =
      damage_rates(layered.damage[0].frequency, layered.damage[0].energy, layered.damage[0].floor);
  CHECK(1 / arrhenius_rate(burn, 44) / 3600 == Approx(6.4).margin(0.05));
  CHECK(1 / arrhenius_rate(burn, 49) == Approx(659).margin(0.5));
}

TEST_CASE("The default effects are coagulation, dryness and char") {
  const Case c = parsed(sample_text());
  REQUIRE(c.effects.size() == 3);
  CHECK(c.effects[0].name == "coagulation");
  CHECK(c.effects[0].of == EffectKind::damage);
  CHECK(c.effects[0].pair == 0);
  CHECK(c.effects[0].at == 1);
  CHECK(c.effects[1].of == EffectKind::dry);
  CHECK(c.effects[1].at == 0.5);
  CHECK(c.effects[2].of == EffectKind::peak_temperature);
  CHECK(c.effects[2].at == 200);
}

TEST_CASE("A face's own condition overrides the far one") {
  const Case c =
      parsed(replaced(sample_text(), "radius_mm = 30",
                      "side_voltage = \"insulated\"\nfar_voltage = \"grounded\"\nbottom_heat = \"insulated\""));
  CHECK(c.specimen.side_voltage == FarVoltage::insulated);
  CHECK(c.specimen.bottom_voltage == FarVoltage::grounded);
  CHECK(c.specimen.side_heat == FarHeat::held);
  CHECK(c.specimen.bottom_heat == FarHeat::insulated);
}

TEST_CASE("The last layer reaches to the bottom") {
  const Case c = parsed(replaced(sample_text(), "tissue = \"liver_ex_vivo\"",
                                 "layers = [{ tissue = \"fat\", thickness_mm = 8 }, { tissue = \"muscle\" }]"));
  CHECK(c.specimen.layers.at(0).thickness == 0.008);
  CHECK(c.specimen.layers.at(1).thickness == Approx(0.032).epsilon(1e-14));
}

TEST_CASE("Every unit is converted to SI") {
  const Case c = parsed(replaced(sample_text(), "[[mode]]",
                                 "[physics]\neschar_um = 30\nbreakdown_MV_m = 2\n[[mode]]\n"
                                 "waveform = { kind = \"damped\", carrier_kHz = 350, repeat_kHz = 20, decay_us = 4 }"));
  CHECK(c.physics.eschar_thickness == 3e-5);
  CHECK(c.physics.breakdown_field == 2e6);
  CHECK(c.modes.at(0).waveform.carrier == 350e3);
  CHECK(c.modes[0].waveform.repeat == 20e3);
  CHECK(c.modes[0].waveform.decay == 4e-6);
  CHECK(c.electrode.radius == 6e-3);
}

TEST_CASE("Key names end in their unit's suffix and defaults lie in their range") {
  for (const Section& part : sections()) {
    for (const KeyInfo& key : part.keys) {
      INFO(part.path << "." << key.name);
      CHECK_FALSE(key.meaning.empty());
      CHECK_FALSE(key.default_text.empty());
      if (!key.unit.suffix.empty()) CHECK(("_" + key.name).ends_with("_" + std::string(key.unit.suffix)));
      if (key.kind != KeyKind::number && key.kind != KeyKind::integer) continue;
      std::istringstream shown(key.default_text);
      double value = 0;
      if (shown >> value) CHECK(key.range.contains(value));
    }
  }
}

TEST_CASE("docs/keys.md is what the program prints") {
  std::ifstream file(std::filesystem::path(DRYFRONT_SOURCE_DIR) / "docs" / "keys.md");
  REQUIRE(file);
  std::ostringstream text;
  text << file.rdbuf();
  INFO("stale: write it again with  dryfront keys --markdown > docs/keys.md");
  CHECK((text.str() == print_keys(true)));
}

TEST_CASE("The reference for a terminal names every section and key") {
  const std::string text = print_keys(false);
  for (const Section& part : sections()) {
    CHECK_THAT(text, Contains(part.heading));
    for (const KeyInfo& key : part.keys) CHECK_THAT(text, Contains(key.name));
  }
}

TEST_CASE("The nearest name is found across slips of the pen, and not across other words") {
  const std::vector<std::string> names = {"radius_mm", "depth_mm", "start_C"};
  CHECK(nearest_name("raduis_mm", names) == "radius_mm");
  CHECK(nearest_name("Start_c", names) == "start_C");
  CHECK(nearest_name("dept_mm", names) == "depth_mm");
  CHECK(nearest_name("electrode", names).empty());
}
