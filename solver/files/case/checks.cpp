#include "files/case/checks.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <stdexcept>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/case/key_table.hpp"
#include "files/case/values.hpp"
#include "physics/circuit.hpp"
#include "physics/electrode_shape.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

namespace {

std::string in_mm(double length) { return number_text(from_si(key_named(specimen_keys(), "depth_mm").unit, length)); }

// The least size of a face [m]: grid.fine_mm may be half of it.
constexpr double least_width = 1e-6;

// What the cells have to resolve: the width of a ring, the radius of any other shape [m].
double narrowest_face(const Electrode& e) {
  return e.shape == ElectrodeShape::ring ? e.radius - e.inner_radius : e.radius;
}

std::string up_to(double length) { return "<= " + in_mm(length) + " [mm]"; }
std::string below(double length) { return "< " + in_mm(length) + " [mm]"; }

// A letter, then letters, digits, _ and -: fit for a group of a run file, for a path of an override and for a file
// name.
bool is_fit_name(const std::string& name) {
  const auto is_letter = [](char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; };
  const auto is_allowed = [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '-';
  };
  constexpr std::size_t longest = 64;
  return !name.empty() && name.size() <= longest && is_letter(name.front()) &&
         std::all_of(name.begin(), name.end(), is_allowed);
}

// 1 to 40 characters of UTF-8, none of them a control character (U+0000 to U+001F, U+007F to U+009F).
bool is_fit_label(const std::string& label) {
  constexpr std::size_t longest = 40;
  std::size_t characters = 0;
  for (std::size_t k = 0; k < label.size(); ++k) {
    const auto byte = [&label](std::size_t at) { return static_cast<unsigned char>(label[at]); };
    if (byte(k) < 0x20 || byte(k) == 0x7f) return false;
    if (byte(k) == 0xc2 && k + 1 < label.size() && byte(k + 1) < 0xa0) return false;
    if ((byte(k) & 0xc0) != 0x80) ++characters;
  }
  return characters >= 1 && characters <= longest;
}

class CaseChecks {
 public:
  CaseChecks(const Case& c, const toml::table& document, CaseProblems& problems)
      : c_(c), document_(document), problems_(problems) {}

  void check() {
    check_names("mode", c_.modes);
    check_names("damage", c_.damage);
    check_names("effect", c_.effects);
    check_names("probe", c_.probes);
    check_labels();
    check_symmetry();
    check_pad();
    check_far_voltage();
    check_layers();
    check_electrode();
    check_contact();
    check_edge();
    for (std::size_t k = 0; k < c_.modes.size(); ++k) {
      const std::string path = "mode." + std::to_string(k);
      check_waveform(c_.modes[k].waveform, path + ".waveform");
      check_source(c_.modes[k].source, path + ".source");
    }
    check_effects();
    check_probes();
    check_grid();
    check_fields();
    if (c_.circuit) check_circuit(*c_.circuit);
    if (c_.pad) check_split_pad(*c_.pad);
  }

 private:
  using Paths = std::vector<std::string>;

  // A problem with the value at `path` unless `holds`; not judged where it or one of the values at `judged_by` is a
  // problem already.
  void require(bool holds, const std::string& path, const Paths& judged_by, const std::string& what,
               const std::string& allowed, const std::string& nearest = "") {
    const auto is_known = [this](const std::string& known) { return problems_.concern(known); };
    if (holds || is_known(path) || std::any_of(judged_by.begin(), judged_by.end(), is_known)) return;
    problems_.add(problem_about(document_, path, what, allowed, nearest));
  }

  template <class Object>
  void check_names(const std::string& section, const std::vector<Object>& objects) {
    std::vector<std::string> seen;
    for (std::size_t k = 0; k < objects.size(); ++k) {
      const std::string& name = objects[k].name;
      const std::string path = section + "." + std::to_string(k) + ".name";
      require(is_fit_name(name), path, {}, "cannot name a group of the run file",
              "a letter, then letters, digits, _ and -, 64 at most");
      require(std::find(seen.begin(), seen.end(), name) == seen.end(), path, {}, "is used twice",
              "a name of its own for each [[" + section + "]]");
      seen.push_back(name);
    }
  }

  void check_labels() {
    std::vector<std::string> seen;
    for (std::size_t k = 0; k < c_.modes.size(); ++k) {
      const std::string& label = c_.modes[k].label;
      const std::string path = "mode." + std::to_string(k);
      require(is_fit_label(label), path + ".label", {path + ".name"}, "is no label: '" + label + "'",
              "1 to 40 characters, no control characters");
      require(std::find(seen.begin(), seen.end(), label) == seen.end(), path + ".label", {path + ".name"},
              "is used twice: '" + label + "'", "a label of its own for each [[mode]]");
      seen.push_back(label);
    }
  }

  void check_pad() {
    const Specimen& s = c_.specimen;
    if (s.bottom_voltage != FarVoltage::pad) return;
    const std::string pad = "specimen.pad_radius_mm", bottom = "specimen.bottom_voltage";
    require(s.pad_radius > 0, pad, {bottom}, "is missing for a pad", "a number > 0 [mm]");
    require(s.pad_radius <= s.radius, pad, {bottom, "specimen.radius_mm"}, "is wider than the specimen",
            up_to(s.radius));
    require(s.pad_inner_radius < s.pad_radius, "specimen.pad_inner_radius_mm", {bottom, pad},
            "leaves nothing of the pad", below(s.pad_radius));
  }

  void check_symmetry() {
    const Specimen& s = c_.specimen;
    const std::string symmetry = "specimen.symmetry", length = "specimen.length_mm";
    const bool plane = s.symmetry == Symmetry::plane;
    require(!plane || s.length > 0, length, {symmetry}, "is missing for symmetry about a plane", "a number > 0 [mm]");
    require(plane || s.length == 0, length, {symmetry}, "is given for symmetry about an axis",
            "symmetry = \"plane\", or no length_mm");
    const auto stated = [&](const std::string& key) { return find_value(document_, "specimen." + key) != nullptr; };
    const auto check_side = [&](const std::string& key, FarVoltage voltage) {
      require(
          !plane || voltage != FarVoltage::half_space, "specimen." + (stated(key) ? key : std::string("far_voltage")),
          {symmetry},
          "is half_space, which symmetry about a plane does not have: the potential beside a long electrode goes on "
          "for ever as a logarithm of the distance",
          "grounded or insulated, not both sides and bottom insulated, or a pad on the bottom");
    };
    check_side("side_voltage", s.side_voltage);
    check_side("bottom_voltage", s.bottom_voltage);
  }

  void check_far_voltage() {
    const Specimen& s = c_.specimen;
    const bool plane = s.symmetry == Symmetry::plane;
    require(s.side_voltage != FarVoltage::insulated || s.bottom_voltage != FarVoltage::insulated,
            "specimen.far_voltage", {"specimen.side_voltage", "specimen.bottom_voltage"},
            "leaves the current nowhere to go",
            std::string(plane ? "grounded" : "half_space or grounded") + " for side or bottom, or a pad on the bottom");
  }

  void check_layers() {
    const Layer* perfused = nullptr;
    for (const Layer& layer : c_.specimen.layers) {
      const std::string tissue = "tissue." + layer.tissue.name;
      constexpr double least_energy = 4e4;  // see damage_rates()
      require(layer.tissue.coagulation_frequency == 0 || layer.tissue.coagulation_energy >= least_energy,
              tissue + ".coagulation_energy_J_mol", {tissue}, "is missing or too small for a pair",
              ">= " + number_text(least_energy) + " [J/mol]");
      const double at = layer.tissue.conductivity_at;
      for (const auto& [key, rise, what] :
           {std::tuple{".conductivity_per_C", layer.tissue.conductivity_per_C, "electric"},
            std::tuple{".conduction_per_C", layer.tissue.conduction_per_C, "thermal"}}) {
        require(rise * at < 1, tissue + key, {tissue}, std::string("leaves no ") + what + " conductivity at 0 C",
                "< 1/conductivity_at_C = " + number_text(1 / at));
      }
      if (layer.tissue.perfusion > 0) {
        require(perfused == nullptr || layer.tissue.blood == perfused->tissue.blood, "specimen.layers",
                {tissue, "tissue." + (perfused != nullptr ? perfused->tissue.name : layer.tissue.name)},
                "have blood of two temperatures (" + (perfused != nullptr ? perfused->tissue.name : "") + ", " +
                    layer.tissue.name + ")",
                "one blood_C for all perfused layers");
        perfused = &layer;
      }
      require(c_.specimen.start < layer.tissue.boiling_point, "specimen.start_C", {tissue},
              "is not below the boiling temperature of " + layer.tissue.name,
              "< " + number_text(layer.tissue.boiling_point) + " [C]");
    }
  }

  void check_electrode() {
    const Electrode& e = c_.electrode;
    const Specimen& s = c_.specimen;
    const std::string shape = "electrode.shape", radius = "electrode.radius_mm", inner = "electrode.inner_radius_mm",
                      press = "electrode.press_mm", length = "electrode.length_mm";
    const std::string size = "a number > 0";
    require(e.radius <= s.radius, radius, {"specimen.radius_mm"}, "is wider than the specimen", up_to(s.radius));
    if (e.shape == ElectrodeShape::ring) {
      require(e.inner_radius > 0, inner, {shape}, "is missing for a ring", size);
      require(e.inner_radius < e.radius, inner, {shape, radius}, "leaves nothing of the ring", below(e.radius));
      require(e.inner_radius >= e.radius || narrowest_face(e) >= least_width, inner, {shape, radius},
              "leaves a ring narrower than the finest cells", up_to(std::max(0.0, e.radius - least_width)));
    }
    if (e.shape == ElectrodeShape::dome) {
      require(e.press > 0, press, {shape}, "is missing for a dome", size);
      require(e.press <= e.radius && e.press < s.depth, press, {shape, radius, "specimen.depth_mm"},
              "presses the dome in too deep",
              "<= the dome's radius of " + in_mm(e.radius) + " and < the specimen's depth [mm]");
    }
    if (e.shape == ElectrodeShape::rod) {
      require(e.length > 0, length, {shape}, "is missing for a rod", size);
      require(e.length < s.depth, length, {shape, "specimen.depth_mm"}, "is longer than the specimen is deep",
              below(s.depth));
      require(e.radius < s.radius, radius, {shape, "specimen.radius_mm"}, "leaves no tissue beside the rod",
              below(s.radius));
    }
  }

  void check_contact() {
    const Electrode& e = c_.electrode;
    const std::string contact = "electrode.contact", size = "a number > 0";
    require(e.contact != ContactKind::conductance || e.conductance > 0, "electrode.contact_S_m2", {contact},
            "is missing for a contact of stated conductance", size);
    require(e.contact != ContactKind::gap || e.gap > 0, "electrode.gap_mm", {contact}, "is missing for a gap", size);
  }

  void check_edge() {
    require(c_.electrode.edge_radius == 0 || is_flat(c_.electrode.shape), "electrode.edge_radius_mm",
            {"electrode.shape"}, "is given for a shape without an edge beside its face",
            "0, or shape = \"disc\" or \"ring\"");
  }

  void check_waveform(const Waveform& w, const std::string& path) {
    const std::string kind = path + ".kind";
    require(w.kind != WaveformKind::continuous || w.duty == 1, path + ".duty", {kind},
            "is given for a continuous waveform", "kind = \"gated\", or no duty");
    require(w.kind != WaveformKind::sampled || w.time.size() == w.voltage.size(), path + ".samples", {kind, path},
            "does not match time_s", std::to_string(w.time.size()) + " numbers, as many as time_s has");
    if (problems_.concern(path)) return;
    try {
      crest_factor(w);
    } catch (const std::invalid_argument& reason) {
      require(false, path, {}, std::string("is no usable waveform: ") + reason.what(),
              "see mode.waveform in the list of keys");
    }
  }

  void check_source(const Source& s, const std::string& path) {
    const std::string kind = path + ".kind";
    if (s.kind == SourceKind::voltage) {
      require(s.rms > 0, path + ".rms_V", {kind}, "is missing for a voltage source", "a number > 0 [V]");
    } else {
      require(s.setting > 0, path + ".setting_W", {kind}, "is missing for this kind of source", "a number > 0 [W]");
    }
    if (!s.flat.empty()) check_flat(s, path);
    if (s.kind == SourceKind::table) check_source_table(s, path);
    if (s.kind == SourceKind::temperature) check_hold(s, path);
  }

  void check_flat(const Source& s, const std::string& path) {
    const std::string flat = path + ".flat_ohm";
    require(s.kind == SourceKind::constant_power, flat, {path + ".kind"},
            "is given for a source of kind " + std::string(word_of(s.kind)),
            "kind = \"constant_power\", or no flat_ohm");
    require(s.flat.size() == 2 && s.flat[0] < s.flat[1], flat, {}, "is no range of loads",
            "two loads, the lower one first [ohm]");
  }

  void check_hold(const Source& s, const std::string& path) {
    const std::string start = "specimen.start_C";
    require(s.hold > c_.specimen.start, path + ".hold_C", {path + ".kind", start},
            "is not above the temperature at the start", "> " + number_text(c_.specimen.start) + " [C]");
    std::vector<std::string> names;
    for (const Probe& probe : c_.probes) names.push_back(probe.name);
    require(std::find(names.begin(), names.end(), s.probe) != names.end(), path + ".probe", {path + ".kind", "probe"},
            s.probe.empty() ? "is missing for a source that holds a temperature" : "names no probe of the case",
            names.empty() ? "the name of a [[probe]], of which the case has none" : "one of " + joined(names),
            nearest_name(s.probe, names));
  }

  void check_source_table(const Source& s, const std::string& path) {
    const std::string load = path + ".load_ohm", share = path + ".power_share";
    if (problems_.concern(path)) return;
    const auto rises = [&s](std::size_t k) { return s.load[k] > (k > 0 ? s.load[k - 1] : 0); };
    bool increasing = true;
    for (std::size_t k = 0; k < s.load.size(); ++k) increasing = increasing && rises(k);
    require(s.load.size() == s.power.size() && s.load.size() >= 2, share, {}, "does not match load_ohm",
            "as many numbers in both, two at least");
    require(increasing, load, {}, "has loads that do not increase from above 0", "0 < load 1 < load 2 < ... [ohm]");
    const auto is_negative = [](double power) { return power < 0; };
    require(std::none_of(s.power.begin(), s.power.end(), is_negative), share, {}, "has a negative power",
            "numbers >= 0");
    const auto is_positive = [](double power) { return power > 0; };
    require(std::any_of(s.power.begin(), s.power.end(), is_positive), share, {}, "has no power at any load",
            "at least one number > 0");
  }

  void check_effects() {
    for (std::size_t k = 0; k < c_.effects.size(); ++k) {
      const std::string path = "effect." + std::to_string(k);
      require(c_.effects[k].of != EffectKind::dry || c_.effects[k].at < 1, path + ".at", {path + ".of"},
              "is no share of water that tissue can dry to", "> 0 and < 1");
    }
  }

  void check_probes() {
    for (std::size_t k = 0; k < c_.probes.size(); ++k) {
      const Probe& probe = c_.probes[k];
      const std::string r = "probe." + std::to_string(k) + ".r_mm", z = "probe." + std::to_string(k) + ".z_mm";
      require(probe.r <= c_.specimen.radius, r, {"specimen.radius_mm"}, "is outside the specimen",
              up_to(c_.specimen.radius));
      require(probe.z <= c_.specimen.depth, z, {"specimen.depth_mm"}, "is outside the specimen",
              up_to(c_.specimen.depth));
      require(!inside_metal(c_.electrode, probe.r, probe.z), z,
              {r, "electrode.shape", "electrode.radius_mm", "electrode.press_mm", "electrode.length_mm"},
              "is inside the electrode", "a point in the tissue");
    }
  }

  void check_grid() {
    require(c_.grading.coarse >= c_.grading.fine, "grid.coarse_mm", {"grid.fine_mm"}, "is smaller than grid.fine_mm",
            ">= " + in_mm(c_.grading.fine) + " [mm]");
    constexpr double rounding = 1e-9;  // so that a difference of two sizes shows no last digits [m]
    require(c_.grading.fine <= narrowest_face(c_.electrode), "grid.fine_mm",
            {"electrode.radius_mm", "electrode.inner_radius_mm"}, "does not resolve the electrode",
            up_to(std::floor(narrowest_face(c_.electrode) / rounding) * rounding));
  }

  void check_fields() {
    const std::string path = "output.fields";
    if (c_.damage.empty() || problems_.concern(path) || problems_.concern("damage")) return;
    const std::vector<std::string> known = field_names(c_);
    for (const std::string& field : c_.output.fields) {
      if (std::find(known.begin(), known.end(), field) != known.end()) continue;
      problems_.add(
          problem_about(document_, path, "has no field '" + field + "'", joined(known), nearest_name(field, known)));
    }
  }

  void check_split_pad(const SplitPad& pad) {
    require(pad.half.size() == 2, "pad.half_mm", {}, "is no size of a half",
            "two numbers > 0 [mm], across the gap and along it");
    require(pad.contact == 0 || pad.contact_capacitance == 0, "pad.contact_nF_cm2", {"pad.contact_S_m2"},
            "is given beside contact_S_m2", "one kind of contact");
    require(pad.low < pad.high, "pad.low_ohm", {"pad.high_ohm"}, "is not below high_ohm",
            "< " + number_text(pad.high) + " [ohm]");
    require(!pad.peeled.empty() && std::is_sorted(pad.peeled.begin(), pad.peeled.end()), "pad.peeled", {},
            "does not rise", "at least one share, in rising order");
    require(!pad.layers.empty(), "pad.layer", {"specimen", "pad.monitor_kHz"}, "is missing",
            "at least one [[pad.layer]], or the layers of [specimen]");
    for (std::size_t k = 0; k < pad.layers.size(); ++k) {
      const std::string thickness = "pad.layer." + std::to_string(k) + ".thickness_mm";
      const bool last = k + 1 == pad.layers.size();
      require(last == (pad.layers[k].thickness == 0), thickness, {"pad.layer"},
              last ? "is given for the last layer, which is endless" : "is missing above another layer",
              last ? "no thickness_mm" : "a number > 0 [mm]");
    }
  }

  void check_circuit(const Circuit& circuit) {
    const std::string beside = "circuit.beside_pF", turns = "circuit.turns", lamp = "circuit.lamp_V";
    require(circuit.tip == Tip::open || circuit.tissue > 0, "circuit.tissue_ohm", {"circuit.tip"},
            "is missing for a tip that touches", "a number > 0 [ohm], or tip = \"open\"");
    require(circuit.tip == Tip::touching || circuit.gap > 0, "circuit.gap_pF", {"circuit.tip"},
            "is missing for a tip held off the tissue", "a number > 0 [pF]");
    require(coupling(circuit) > 0, beside, {turns, "circuit.turn_pF"}, "is missing",
            "a number > 0 [pF], or turns and turn_pF");
    require(circuit.beside == 0 || circuit.turns == 0, turns, {beside}, "is given beside beside_pF", "one of the two");
    require((circuit.lamp_voltage > 0) == (circuit.lamp_current > 0),
            circuit.lamp_voltage > 0 ? "circuit.lamp_A" : lamp, {lamp, "circuit.lamp_A"}, "is missing for a lamp",
            "lamp_V and lamp_A both, > 0");
    for (std::size_t k = 0; k < c_.modes.size(); ++k) check_spectrum(circuit, k);
  }

  void check_spectrum(const Circuit& circuit, std::size_t k) {
    constexpr double burns_out = 1.2;  // of the rated voltage
    const std::string path = "mode." + std::to_string(k) + ".waveform";
    if (!problems_.none()) return;
    try {
      const CircuitAnswer answer = solve_circuit(circuit, c_.modes[k].waveform, c_.modes[k].source);
      require(answer.lamp_voltage <= burns_out * circuit.lamp_voltage, "circuit.lamp_V", {},
              "stands for a lamp that would burn out: " + number_text(std::round(10 * answer.lamp_voltage) / 10) +
                  " V with mode " + c_.modes[k].name,
              "a rated voltage of " + number_text(std::ceil(answer.lamp_voltage / burns_out)) + " V or more");
    } catch (const std::invalid_argument& reason) {
      require(false, path + ".duty", {path}, std::string("leaves ") + reason.what(),
              "duty x carrier_kHz / repeat_kHz a whole number");
    }
  }

  const Case& c_;
  const toml::table& document_;
  CaseProblems& problems_;
};

}  // namespace

void check_case(const Case& c, const toml::table& document, CaseProblems& problems) {
  CaseChecks(c, document, problems).check();
}

}  // namespace dryfront
