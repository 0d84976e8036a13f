#include "files/case/odd_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "files/case/key_table.hpp"
#include "files/case/values.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

namespace {

// The keys of a source that belong to one kind alone.
struct OwnKey {
  std::string_view key;
  SourceKind kind;
};
constexpr std::array own_keys{
    OwnKey{"rated_load_ohm", SourceKind::unregulated},
    OwnKey{"rms_V", SourceKind::voltage},
    OwnKey{"hold_C", SourceKind::temperature},
    OwnKey{"hold_s", SourceKind::temperature},
    OwnKey{"probe", SourceKind::temperature},
    OwnKey{"file", SourceKind::table},
    OwnKey{"load_ohm", SourceKind::table},
    OwnKey{"power_share", SourceKind::table},
};

class OddValues {
 public:
  OddValues(const Case& c, const toml::table& document) : c_(c), document_(document) {}

  std::vector<CaseWarning> find() {
    find_fahrenheit("specimen.start_C", c_.specimen.start, "the specimen starts");
    find_fahrenheit("specimen.surroundings_C", c_.specimen.surroundings, "the surroundings are");
    for (std::size_t k = 0; k < c_.modes.size(); ++k) {
      const std::string path = "mode." + std::to_string(k);
      find_unbounded(c_.modes[k], path + ".source");
      find_short_burst(c_.modes[k], path + ".waveform");
      find_idle_keys(c_.modes[k], path + ".source");
      find_low_limit(c_.modes[k], path + ".source");
    }
    return std::move(warnings_);
  }

 private:
  void warn(const std::string& path, std::string sentence, std::string advice) {
    const CaseProblem about = problem_about(document_, path, "", "");
    const bool stated = find_value(document_, path) != nullptr;
    const std::string section = path.substr(0, path.rfind('.') + 1);
    warnings_.push_back(
        {about.place, stated ? section + about.given : path + " is not given", std::move(sentence), std::move(advice)});
  }

  void find_fahrenheit(const std::string& path, double temperature, const std::string& what) {
    constexpr double hottest = 60;
    if (temperature <= hottest) return;
    warn(path, fmt::format("{} at {:g} C, at which tissue coagulates by itself", what, temperature),
         fmt::format("degrees Celsius are meant; {:g} F are {} = {:.0f}", temperature, path.substr(path.find('.') + 1),
                     (temperature - 32) / 1.8));
  }

  bool can_dry() const {
    const ContactKind contact = c_.electrode.contact;
    return c_.physics.boil_off && (contact == ContactKind::spots || contact == ContactKind::gap);
  }

  void find_unbounded(const Mode& mode, const std::string& path) {
    const SourceKind kind = mode.source.kind;
    const bool holds_power =
        kind == SourceKind::constant_power || kind == SourceKind::temperature || kind == SourceKind::table;
    if (!can_dry() || !holds_power || mode.source.peak_limit > 0 || !mode.source.flat.empty()) return;
    warn(path + ".peak_limit_V",
         fmt::format("\"{}\" has no highest voltage, so that it rises without end once the contact dries", mode.label),
         fmt::format("mode.{}.source.peak_limit_V sets one", mode.name));
  }

  void find_short_burst(const Mode& mode, const std::string& path) {
    const Waveform& w = mode.waveform;
    constexpr double half_a_cycle = 0.5 * (1 + 1e-9);
    constexpr double kHz = 1e3;
    if (w.kind == WaveformKind::gated && w.duty * w.carrier / w.repeat <= half_a_cycle) {
      warn(path + ".duty",
           fmt::format("a burst of \"{}\" holds {:.2g} cycles of the carrier, and its crest factor of {:.3g} is that "
                       "of whole cycles",
                       mode.label, w.duty * w.carrier / w.repeat, crest_factor(w)),
           w.repeat < w.carrier ? fmt::format("duty = {:.6g} holds one cycle", rounded_up(w.repeat / w.carrier))
                                : fmt::format("repeat_kHz = {:.6g} holds one cycle", w.duty * w.carrier / kHz));
    }
    if (w.kind == WaveformKind::damped && w.carrier / w.repeat <= half_a_cycle) {
      warn(path + ".repeat_kHz",
           fmt::format("the bursts of \"{}\" are cut short after {:.2g} cycles of the carrier", mode.label,
                       w.carrier / w.repeat),
           fmt::format("repeat_kHz = {:.6g} lets one cycle through", w.carrier / kHz));
    }
  }

  void find_idle_keys(const Mode& mode, const std::string& path) {
    const toml::node* kind = find_value(document_, path + ".kind");
    if (kind == nullptr || place_of(kind->source()).starts_with(override_mark)) return;
    for (const OwnKey& own : own_keys) {
      const std::string key = path_of(path, own.key);
      const toml::node* stated = find_value(document_, key);
      if (stated == nullptr || own.kind == mode.source.kind) continue;
      warn(key,
           fmt::format("\"{}\" states what a source of its kind does not use ({})", mode.label,
                       key_named(source_keys(), own.key).meaning),
           fmt::format("kind = \"{}\" uses it; otherwise leave it out", word_of(own.kind)));
    }
  }

  void find_low_limit(const Mode& mode, const std::string& path) {
    const Source& s = mode.source;
    if (s.kind != SourceKind::unregulated || s.peak_limit <= 0) return;
    const double needed = crest_factor(mode.waveform) * std::sqrt(s.setting * s.rated_load);
    if (s.peak_limit >= needed * (1 - 1e-9)) return;
    warn(
        path + ".peak_limit_V",
        fmt::format("\"{}\" cannot give its setting of {:g} W to its rated load of {:g} ohm: that takes {:.0f} V peak, "
                    "and at most {:g} V are allowed",
                    mode.label, s.setting, s.rated_load, needed, s.peak_limit),
        fmt::format("peak_limit_V = {:.6g} is enough", rounded_up(needed)));
  }

  const Case& c_;
  const toml::table& document_;
  std::vector<CaseWarning> warnings_;
};

}  // namespace

std::vector<CaseWarning> odd_value_warnings(const Case& c, const toml::table& document) {
  return OddValues(c, document).find();
}

}  // namespace dryfront
