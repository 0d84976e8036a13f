#include "files/case/checks.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/case/key_table.hpp"
#include "files/case/values.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

namespace {

std::string in_mm(double length) { return number_text(from_si(key_named(specimen_keys(), "depth_mm").unit, length)); }

// A letter, then letters, digits, _ and -: fit for a group of a run file, for a path of an override and for a file name.
bool is_fit_name(const std::string& name) {
  const auto is_letter = [](char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; };
  const auto is_allowed = [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '-';
  };
  constexpr std::size_t longest = 64;
  return !name.empty() && name.size() <= longest && is_letter(name.front()) &&
         std::all_of(name.begin(), name.end(), is_allowed);
}

template <class Object>
void check_names(const toml::table& document, const std::string& section, const std::vector<Object>& objects) {
  std::vector<std::string> seen;
  for (std::size_t k = 0; k < objects.size(); ++k) {
    const std::string& name = objects[k].name;
    const std::string path = section + "." + std::to_string(k) + ".name";
    if (!is_fit_name(name)) {
      refuse(document, path, "cannot name a group of the run file",
             "a letter, then letters, digits, _ and -, 64 at most");
    }
    if (std::find(seen.begin(), seen.end(), name) != seen.end()) {
      refuse(document, path, "is used twice", "a name of its own for each [[" + section + "]]");
    }
    seen.push_back(name);
  }
}

void check_specimen(const Specimen& s, const toml::table& document) {
  if (s.bottom_voltage == FarVoltage::pad) {
    if (!(s.pad_radius > 0)) refuse(document, "specimen.pad_radius_mm", "is missing for a pad", "a number > 0 [mm]");
    if (s.pad_radius > s.radius) {
      refuse(document, "specimen.pad_radius_mm", "is wider than the specimen", "<= " + in_mm(s.radius) + " [mm]");
    }
    if (s.pad_inner_radius >= s.pad_radius) {
      refuse(document, "specimen.pad_inner_radius_mm", "leaves nothing of the pad",
             "< " + in_mm(s.pad_radius) + " [mm]");
    }
  }
  if (s.side_voltage == FarVoltage::insulated && s.bottom_voltage == FarVoltage::insulated) {
    refuse(document, "specimen.far_voltage", "leaves the current nowhere to go",
           "half_space or grounded for side or bottom, or a pad on the bottom");
  }
  const Layer* perfused = nullptr;
  for (const Layer& layer : s.layers) {
    if (layer.tissue.perfusion > 0) {
      if (perfused != nullptr && layer.tissue.blood != perfused->tissue.blood) {
        refuse(document, "specimen.layers",
               "have blood of two temperatures (" + perfused->tissue.name + ", " + layer.tissue.name + ")",
               "one blood_C for all perfused layers");
      }
      perfused = &layer;
    }
    if (s.start >= layer.tissue.boiling_point) {
      refuse(document, "specimen.start_C", "is not below the boiling temperature of " + layer.tissue.name,
             "< " + number_text(layer.tissue.boiling_point) + " [C]");
    }
  }
}

void require_size(const toml::table& document, const std::string& key, double size, const std::string& owner) {
  if (!(size > 0)) refuse(document, "electrode." + key, "is missing for " + owner, "a number > 0");
}

void check_electrode(const Electrode& e, const Specimen& s, const toml::table& document) {
  if (e.radius > s.radius) {
    refuse(document, "electrode.radius_mm", "is wider than the specimen", "<= " + in_mm(s.radius) + " [mm]");
  }
  if (e.shape == ElectrodeShape::ring) {
    require_size(document, "inner_radius_mm", e.inner_radius, "a ring");
    if (e.inner_radius >= e.radius) {
      refuse(document, "electrode.inner_radius_mm", "leaves nothing of the ring", "< " + in_mm(e.radius) + " [mm]");
    }
  }
  if (e.shape == ElectrodeShape::dome) {
    require_size(document, "press_mm", e.press, "a dome");
    if (e.press > e.radius || e.press >= s.depth) {
      refuse(document, "electrode.press_mm", "presses the dome in too deep",
             "<= the dome's radius of " + in_mm(e.radius) + " and < the specimen's depth [mm]");
    }
  }
  if (e.shape == ElectrodeShape::rod) {
    require_size(document, "length_mm", e.length, "a rod");
    if (e.length >= s.depth) {
      refuse(document, "electrode.length_mm", "is longer than the specimen is deep", "< " + in_mm(s.depth) + " [mm]");
    }
    if (e.radius >= s.radius) {
      refuse(document, "electrode.radius_mm", "leaves no tissue beside the rod", "< " + in_mm(s.radius) + " [mm]");
    }
  }
  if (e.contact == ContactKind::conductance) {
    require_size(document, "contact_S_m2", e.conductance, "a contact of stated conductance");
  }
  if (e.contact == ContactKind::gap) require_size(document, "gap_mm", e.gap, "a gap");
}

void check_waveform(const Waveform& w, const std::string& path, const toml::table& document) {
  if (w.kind == WaveformKind::continuous && w.duty != 1) {
    refuse(document, path + ".duty", "is given for a continuous waveform", "kind = \"gated\", or no duty");
  }
  if (w.kind == WaveformKind::sampled && w.time.size() != w.voltage.size()) {
    refuse(document, path + ".samples", "does not match time_s",
           std::to_string(w.time.size()) + " numbers, as many as time_s has");
  }
  try {
    crest_factor(w);
  } catch (const std::invalid_argument& reason) {
    refuse(document, path, std::string("is no usable waveform: ") + reason.what(),
           "see mode.waveform in the list of keys");
  }
}

void check_source(const Source& s, const std::string& path, const toml::table& document) {
  if (s.kind == SourceKind::voltage) {
    if (!(s.rms > 0)) refuse(document, path + ".rms_V", "is missing for a voltage source", "a number > 0 [V]");
  } else if (!(s.setting > 0)) {
    refuse(document, path + ".setting_W", "is missing for this kind of source", "a number > 0 [W]");
  }
  if (s.kind != SourceKind::table) return;
  if (s.load.size() != s.power.size() || s.load.size() < 2) {
    refuse(document, path + ".power_share", "does not match load_ohm", "as many numbers in both, two at least");
  }
  for (std::size_t k = 0; k < s.load.size(); ++k) {
    if (!(s.load[k] > 0) || (k > 0 && s.load[k] <= s.load[k - 1])) {
      refuse(document, path + ".load_ohm", "has loads that do not increase from above 0",
             "0 < load 1 < load 2 < ... [ohm]");
    }
    if (s.power[k] < 0) refuse(document, path + ".power_share", "has a negative power", "numbers >= 0");
  }
  if (*std::max_element(s.power.begin(), s.power.end()) <= 0) {
    refuse(document, path + ".power_share", "has no power at any load", "at least one number > 0");
  }
}

void check_effects(const Case& c, const toml::table& document) {
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    if (c.effects[k].of == EffectKind::dry && c.effects[k].at >= 1) {
      refuse(document, "effect." + std::to_string(k) + ".at", "is no share of water that tissue can dry to",
             "> 0 and < 1");
    }
  }
}

// Inside the metal of an electrode that reaches into the tissue.
bool inside_electrode(const Probe& probe, const Electrode& e) {
  if (e.shape == ElectrodeShape::rod) return probe.r < e.radius && probe.z < e.length;
  if (e.shape == ElectrodeShape::dome) return std::hypot(probe.r, probe.z - e.press + e.radius) < e.radius;
  return false;
}

void check_probes(const Case& c, const toml::table& document) {
  for (std::size_t k = 0; k < c.probes.size(); ++k) {
    const Probe& probe = c.probes[k];
    const std::string path = "probe." + std::to_string(k);
    if (probe.r > c.specimen.radius) {
      refuse(document, path + ".r_mm", "is outside the specimen", "<= " + in_mm(c.specimen.radius) + " [mm]");
    }
    if (probe.z > c.specimen.depth) {
      refuse(document, path + ".z_mm", "is outside the specimen", "<= " + in_mm(c.specimen.depth) + " [mm]");
    }
    if (inside_electrode(probe, c.electrode)) {
      refuse(document, path + ".z_mm", "is inside the electrode", "a point in the tissue");
    }
  }
}

void check_grid(const Case& c, const toml::table& document) {
  if (c.grading.coarse < c.grading.fine) {
    refuse(document, "grid.coarse_mm", "is smaller than grid.fine_mm", ">= " + in_mm(c.grading.fine) + " [mm]");
  }
  if (c.grading.fine > c.electrode.radius) {
    refuse(document, "grid.fine_mm", "does not resolve the electrode", "<= " + in_mm(c.electrode.radius) + " [mm]");
  }
}

void check_fields(const Case& c, const toml::table& document) {
  std::vector<std::string> known = {"temperature_C", "water_fraction", "cem43_min",       "peak_temperature_C",
                                    "heating_W_m3",  "potential_V",    "conductivity_S_m"};
  for (const DamagePair& pair : c.damage) known.push_back("omega_" + pair.name);
  for (const std::string& field : c.output.fields) {
    if (std::find(known.begin(), known.end(), field) != known.end()) continue;
    refuse(document, "output.fields", "has no field '" + field + "'", joined(known), nearest_name(field, known));
  }
}

}  // namespace

void check_case(const Case& c, const toml::table& document) {
  check_names(document, "mode", c.modes);
  check_names(document, "damage", c.damage);
  check_names(document, "effect", c.effects);
  check_names(document, "probe", c.probes);
  check_specimen(c.specimen, document);
  check_electrode(c.electrode, c.specimen, document);
  for (std::size_t k = 0; k < c.modes.size(); ++k) {
    const std::string path = "mode." + std::to_string(k);
    check_waveform(c.modes[k].waveform, path + ".waveform", document);
    check_source(c.modes[k].source, path + ".source", document);
  }
  check_effects(c, document);
  check_probes(c, document);
  check_grid(c, document);
  check_fields(c, document);
}

}  // namespace dryfront
