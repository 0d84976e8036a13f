#include "files/case/key_table.hpp"

#include "files/case/case_error.hpp"
#include "files/case/key_builders.hpp"
#include "physics/mechanism.hpp"

namespace dryfront {

namespace {

constexpr std::size_t without_pad = 3;  // a pad lies on the bottom only

std::string default_effect_names() {
  std::vector<std::string> names;
  for (const Effect& effect : default_effects()) names.push_back(effect.name);
  return joined(names);
}

std::string field_words() {
  std::vector<std::string> words = words_of<Field>();
  words[static_cast<std::size_t>(Field::omega)] += "_<pair>";
  return joined(words);
}

// What each kind of effect compares its value with.
std::string_view compared(EffectKind kind) {
  switch (kind) {
    case EffectKind::damage:
      return ":NAME (Omega of that pair)";
    case EffectKind::temperature:
    case EffectKind::peak_temperature:
      return " [C]";
    case EffectKind::dry:
      return " (water left falls below the value)";
    case EffectKind::cem43:
      return " [min]";
  }
  return "";
}

std::string effect_words() {
  std::vector<std::string> words;
  for (const auto& [kind, word] : enumerators(EffectKind{})) words.push_back(std::string(word).append(compared(kind)));
  return joined(words);
}

// The switches of the mechanisms, before the numbers.
Keys<Physics> with_switches(const Keys<Physics>& numbers) {
  Keys<Physics> keys;
  for (const Mechanism& mechanism : mechanisms) {
    keys.push_back(flag(std::string(mechanism.key), mechanism.is_on, std::string(mechanism.meaning)));
  }
  keys.insert(keys.end(), numbers.begin(), numbers.end());
  return keys;
}

}  // namespace

const Keys<Case>& case_keys() {
  static const Keys<Case> keys = {
      with_default(text<Case>("title", &Case::title, "shown on every result"), "none"),
      with_default(text<Case>("question", &Case::question, "what the case is to answer, in one sentence"), "none"),
      required(key<Case>("specimen", KeyKind::table, "", "the piece of tissue")),
      with_default(key<Case>("electrode", KeyKind::table, "", "the electrode and its contact"), "its defaults"),
      required(key<Case>("mode", KeyKind::tables, "", "one waveform on one source, at least once")),
      with_default(key<Case>("physics", KeyKind::table, "", "switches of the mechanisms"), "its defaults"),
      with_default(key<Case>("tissue", KeyKind::table, "", "changed and new tissues, one table per name"),
                   "the library's"),
      with_default(key<Case>("damage", KeyKind::tables, "", "Arrhenius pairs"),
                   "the usual pair of the top layer's tissue"),
      with_default(key<Case>("effect", KeyKind::tables, "", "what counts as an effect"), default_effect_names()),
      with_default(key<Case>("probe", KeyKind::tables, "", "points to watch"), "none"),
      with_default(key<Case>("grid", KeyKind::table, "", "how finely space is cut"), "its defaults"),
      with_default(key<Case>("time", KeyKind::table, "", "how finely time is cut"), "its defaults"),
      with_default(key<Case>("output", KeyKind::table, "", "what the run file keeps"), "its defaults"),
      with_default(key<Case>("comparison", KeyKind::table, "", "how two modes are set against each other"),
                   "its defaults"),
      with_default(key<Case>("circuit", KeyKind::table, "", "the circuit of the stray current, for dryfront circuit"),
                   "none"),
      with_default(key<Case>("pad", KeyKind::table, "", "a return electrode of two halves, for dryfront pad"), "none"),
  };
  return keys;
}

const Keys<Specimen>& specimen_keys() {
  using S = Specimen;
  static const Keys<S> keys = {
      with_default(key<S>("tissue", KeyKind::text, "", "name of the tissue, when it is one throughout"),
                   "required, or layers"),
      with_default(key<S>("layers", KeyKind::tables, "", "the tissues from the surface down, when they are several"),
                   "required, or tissue"),
      choice<&S::symmetry, S>("symmetry",
                              "about which the specimen and the electrode are symmetric: an axis, or a plane along "
                              "which everything is the same, as at the long edge of a blade; every radius then is a "
                              "half width, the distance from the plane"),
      with_default(number("length_mm", "mm", &S::length, from(0, 1000),
                          "length of electrode and specimen along the plane: powers, loads and volumes are those of "
                          "that length, both sides of the plane; what happens beyond its two ends is not modelled"),
                   "required for plane"),
      number("radius_mm", "mm", &S::radius, above(0, 1000),
             "radius of the solved cylinder; about a plane half the width of the solved block"),
      number("depth_mm", "mm", &S::depth, above(0, 1000), "depth of the solved cylinder or block"),
      number("start_C", "C", &S::start, from(-5, 150), "temperature at the start, and of the faces whose heat is held"),
      number("surroundings_C", "C", &S::surroundings, from(-50, 150), "temperature of the air and of the room"),
      number("air_W_m2K", "W_m2K", &S::air_heat_transfer, from(0, 1e5),
             "heat transfer from the free surface to the air"),
      choice_of_both<&S::side_voltage, &S::bottom_voltage, S>(
          "far_voltage",
          "electric condition of side and bottom: as if the tissue went on for ever (about an axis only), V = 0, or no "
          "current",
          without_pad),
      with_default(choice<&S::side_voltage, S>("side_voltage", "the same for the side alone", without_pad),
                   "as far_voltage"),
      with_default(choice<&S::bottom_voltage, S>("bottom_voltage",
                                                 "the same for the bottom alone; pad: V = 0 on a disc or ring of it, "
                                                 "about a plane on a strip or two"),
                   "as far_voltage"),
      with_default(number("pad_radius_mm", "mm", &S::pad_radius, from(0, 1000), "radius of the pad on the bottom"),
                   "required for a pad"),
      number("pad_inner_radius_mm", "mm", &S::pad_inner_radius, from(0, 1000), "inner radius of a pad that is a ring"),
      choice_of_both<&S::side_heat, &S::bottom_heat, S>(
          "far_heat", "thermal condition of side and bottom: held at start_C, or no heat flow"),
      with_default(choice<&S::side_heat, S>("side_heat", "the same for the side alone"), "as far_heat"),
      with_default(choice<&S::bottom_heat, S>("bottom_heat", "the same for the bottom alone"), "as far_heat"),
  };
  return keys;
}

const Keys<Layer>& layer_keys() {
  static const Keys<Layer> keys = {
      required(key<Layer>("tissue", KeyKind::text, "", "name of the layer's tissue")),
      with_default(number("thickness_mm", "mm", &Layer::thickness, above(0, 1000),
                          "thickness of the layer; the last one reaches to the bottom of the specimen in any case"),
                   "required, but for the last layer"),
  };
  return keys;
}

const Keys<Electrode>& electrode_keys() {
  using E = Electrode;
  static const Keys<E> keys = {
      choice<&E::shape, E>("shape",
                           "disc and ring lie on the surface, a dome is pressed in, a rod is inserted; about a plane a "
                           "disc is a strip, a ring two of them, a dome a cylinder that lies pressed in, a rod a plate "
                           "inserted edgewise"),
      number(
          "radius_mm", "mm", &E::radius, from(0.001, 500),
          "radius of the face, the dome or the rod; about a plane half the width of the strip, or half the thickness "
          "of the plate"),
      with_default(number("inner_radius_mm", "mm", &E::inner_radius, from(0, 500), "inner radius of a ring"),
                   "required for a ring"),
      with_default(number("press_mm", "mm", &E::press, from(0, 500), "how deep a dome is pressed in"),
                   "required for a dome"),
      with_default(number("length_mm", "mm", &E::length, from(0, 500), "inserted length of a rod"),
                   "required for a rod"),
      number("edge_radius_mm", "mm", &E::edge_radius, from(0, 100),
             "radius of the rounded edge beside the face of a disc or ring (rim_arcing); 0: sharp"),
      choice<&E::contact, E>(
          "contact",
          "how the current crosses: everywhere, through a stated conductance, through wet spots that "
          "can dry, or over a gap by sparks alone"),
      with_default(number("contact_S_m2", "S_m2", &E::conductance, from(0, 1e9), "conductance of the contact"),
                   "required for conductance"),
      number("contact_fraction", "", &E::contact_fraction, above(0, 1),
             "share of the face in true contact when fully wet (spots); assumed, range 0.1 to 1"),
      number("spot_pitch_mm", "mm", &E::spot_pitch, above(0, 100),
             "distance from one touching spot to the next (spots); assumed, range 0.05 to 1"),
      number("interface_mm", "mm", &E::interface_depth, above(0, 10), "depth whose water wets the contact (spots)"),
      with_default(number("gap_mm", "mm", &E::gap, from(0, 100), "distance at which the electrode is held off (gap)"),
                   "required for a gap"),
      choice<&E::heat, E>("heat",
                          "heat between tissue and electrode: none, as the free surface, to an electrode held at "
                          "start_C, or to one that warms up"),
      number("heat_W_m2K", "W_m2K", &E::heat_transfer, from(0, 1e7),
             "heat transfer of the contact, with spots of the gaps between them (held, lumped); 0: the tissue's own "
             "resistance "
             "alone; assumed, range 250 to 2500"),
      with_default(number("capacity_J_K", "J_K", &E::capacity, from(0, 1e5), "heat capacity of the electrode (lumped)"),
                   "0 (of its metal)"),
  };
  return keys;
}

const Keys<Mode>& mode_keys() {
  static const Keys<Mode> keys = {
      required(text<Mode>("name", &Mode::name, "letters, digits, _ and -, a letter first; names the results")),
      with_default(text<Mode>("label", &Mode::label,
                              "what people are shown in place of the name: 1 to 40 characters, not the same twice"),
                   "the name, with blanks for _"),
      number("activation_s", "s", &Mode::activation, above(0, 36000), "time with the current on"),
      number("after_s", "s", &Mode::after, from(0, 36000), "watching time with the current off"),
      with_default(key<Mode>("waveform", KeyKind::table, "", "see mode.waveform"), "continuous"),
      required(key<Mode>("source", KeyKind::table, "", "see mode.source")),
  };
  return keys;
}

const Keys<Waveform>& waveform_keys() {
  using W = Waveform;
  static const Keys<W> keys = {
      choice<&W::kind, W>("kind",
                          "a sine; a sine switched on for a share of each period; a train of damped sines; samples"),
      number("carrier_kHz", "kHz", &W::carrier, above(0, 1e5), "frequency of the sine"),
      with_default(
          number("duty", "", &W::duty, above(0, 1),
                 "share of the burst period with current; crest factor sqrt(2/duty), whatever the cycles in a burst"),
          "1; required for gated"),
      number("repeat_kHz", "kHz", &W::repeat, above(0, 1e4), "bursts per second (gated, damped)"),
      number("decay_us", "us", &W::decay, above(0, 1e6), "time constant of the envelope (damped)"),
      with_default(
          text<W>("file", &W::file, "two columns, time in s and voltage in any unit, beside the case file (sampled)"),
          "none"),
      with_default(numbers("time_s", "s", &W::time, {}, "the samples' times, in place of a file (sampled)"), "none"),
      with_default(
          numbers("samples", "", &W::voltage, {}, "the samples' voltages in any unit, in place of a file (sampled)"),
          "none"),
  };
  return keys;
}

const Keys<Source>& source_keys() {
  using S = Source;
  static const Keys<S> keys = {
      choice<&S::kind, S>(
          "kind",
          "the power set, between its limits; open-circuit voltage behind rated_load_ohm; power against load; "
          "fixed voltage; at most the power set, so that a probe is held at a temperature"),
      with_default(number("setting_W", "W", &S::setting, from(0, 1e4),
                          "power set (all but voltage); the most power (temperature)"),
                   "required but for voltage"),
      with_default(number("rms_V", "V", &S::rms, from(0, 1e5), "rms voltage (voltage)"), "required for voltage"),
      number("rated_load_ohm", "ohm", &S::rated_load, above(0, 1e6),
             "load that takes all of the power set (unregulated)"),
      with_default(number("peak_limit_V", "V", &S::peak_limit, from(0, 1e6), "greatest peak voltage; 0: no limit"),
                   "0 (no limit)"),
      with_default(number("current_limit_A", "A", &S::current_limit, from(0, 1e4), "greatest rms current; 0: no limit"),
                   "0 (no limit)"),
      with_default(numbers("flat_ohm", "ohm", &S::flat, above(0, 1e9),
                           "two loads between which the power is held; below the lower one the current of that load, "
                           "above the higher one its voltage (constant_power)"),
                   "none (limits alone)"),
      with_default(number("hold_C", "C", &S::hold, from(-5, 300),
                          "temperature to hold at the probe, above specimen.start_C (temperature)"),
                   "required for temperature"),
      with_default(text<S>("probe", &S::probe, "name of the [[probe]] whose temperature is held (temperature)"),
                   "required for temperature"),
      number("hold_s", "s", &S::reset_time, above(0, 3600),
             "time constant of the controller's integral part, best that of the tissue around the probe; steps are an "
             "eighth of it at most (temperature); assumed, range 1 to 100"),
      with_default(
          text<S>("file", &S::file,
                  "two columns, load in ohm and power as a share of the setting, beside the case file (table)"),
          "none"),
      with_default(numbers("load_ohm", "ohm", &S::load, above(0, 1e9), "the loads, in place of a file (table)"),
                   "none"),
      with_default(key<S>("power_share", KeyKind::numbers, "",
                          "the powers as shares of the setting, in place of a file (table)"),
                   "none"),
  };
  return keys;
}

const Keys<Physics>& physics_keys() {
  using P = Physics;
  static const Keys<P> keys = with_switches({
      number("strike_V", "V", &P::strike, above(0, 1e5),
             "peak voltage at which a steam gap strikes; common practice, empirical"),
      number("strike_spread", "", &P::strike_spread, from(0, 0.9),
             "half width of the spread of that voltage, as a share of it; assumed"),
      choice<&P::spark_law, P>("spark_law",
                               "what carries a spark's current: a conductance of the dry face per area, or channels "
                               "of a constant drop that stand on roots"),
      number("spark_S_m2", "S_m2", &P::spark_conductance, from(0, 1e6),
             "conductance of the spark feet per area (area); assumed, range 10 to 40"),
      number("spark_channels", "", &P::spark_channels, from(1, 1e4),
             "channels that conduct at once (channels); assumed, range 1 to 100"),
      number("spark_drop_V", "V", &P::spark_drop, from(0, 1e4),
             "voltage along a channel, at most 0.9 of the strike voltage (channels); assumed, range 20 to 300"),
      number("spark_root_A_m2", "A_m2", &P::spark_density, above(0, 1e12),
             "peak current density where a channel stands on the tissue (channels); contracted discharges in argon"),
      number("spark_heat_share", "", &P::spark_heat_share, from(0, 1),
             "share of the spark heat that enters the tissue; assumed, range 0.5 to 0.9"),
      number("eschar_um", "um", &P::eschar_thickness, above(0, 1e4),
             "thickness of the eschar that spark heat dries; assumed, range 10 to 50"),
      number("breakdown_MV_m", "MV_m", &P::breakdown_field, above(0, 1e3),
             "peak field at which dried tissue breaks down; assumed, range 0.3 to 3"),
      number("arc_S_m", "S_m", &P::arc_conductivity, from(0, 1e4),
             "conductivity of dried tissue that has broken down; assumed, range 0.01 to 1"),
      number("leak_S_m2", "S_m2", &P::leak_conductance, from(0, 1e6),
             "conductance that a dry contact keeps; assumed, range 1e-4 to 1e-2"),
      number("bound_onset_K", "K", &P::bound_onset_width, from(2, 5),
             "width of the first loss of bound water, up to some 104 C; assumed, range 3 to 4"),
      number("bound_tail_K", "K", &P::bound_tail_width, from(20, 60),
             "width of the loss of the rest, above; assumed, range 25 to 45"),
      number("steam_kept", "", &P::steam_kept, from(0, 1),
             "share of what boils off that condenses in the next deeper cells below 98 C; not known, 0 to 1"),
      number("pressed_m2_s", "m2_s", &P::pressed_diffusivity, above(0, 1e-5),
             "diffusivity of pressed-out water; assumed, range 3e-10 to 1e-8"),
      number("pressed_loss", "", &P::pressed_loss, from(0, 0.5),
             "share of the mass that heated tissue has pressed out at rest at 90 C"),
  });
  return keys;
}

const Keys<Tissue>& tissue_keys() {
  using T = Tissue;
  static const Keys<T> keys = {
      with_default(
          key<T>("like", KeyKind::text, "",
                 "the tissue from which a new one takes all that it does not state: one of the library or of the case"),
          "none"),
      required(number("conductivity_S_m", "S_m", &T::conductivity, above(0, 100),
                      "electric conductivity at the carrier's frequency, wet, at conductivity_at_C")),
      number("conductivity_at_C", "C", &T::conductivity_at, from(0, 100), "temperature of the conductivities"),
      number("conductivity_per_C", "per_C", &T::conductivity_per_C, from(0, 0.2),
             "relative rise of the electric conductivity"),
      number("coagulation_rise", "", &T::coagulation_rise, from(0, 20),
             "relative irreversible rise of the electric conductivity on coagulation"),
      with_default(number("coagulation_frequency_1_s", "1_s", &T::coagulation_frequency, from(0, 1e300),
                          "frequency factor of the pair by which it rises, counted from 43 C up; 0: the first pair of "
                          "the case"),
                   "0 (the case's)"),
      with_default(number("coagulation_energy_J_mol", "J_mol", &T::coagulation_energy, from(0, 1e7),
                          "activation energy of that pair"),
                   "required with a frequency"),
      number("relative_permittivity", "", &T::relative_permittivity, from(0, 1e8),
             "at the carrier's frequency; used to judge whether tissue is a mere conductor"),
      required(number("density_kg_m3", "kg_m3", &T::density, above(0, 3e4), "density, wet")),
      required(number("heat_J_kgK", "J_kgK", &T::specific_heat, above(0, 2e4), "specific heat, wet")),
      required(number("conduction_W_mK", "W_mK", &T::conduction, above(0, 500), "thermal conductivity, wet")),
      number("conduction_per_C", "per_C", &T::conduction_per_C, from(-0.005, 0.05),
             "relative rise of the thermal conductivity above conductivity_at_C; not used with physics.vapour"),
      number("dry_conduction_W_mK", "W_mK", &T::dry_conduction, above(0, 500), "thermal conductivity, dry"),
      number("dry_heat_ratio", "", &T::dry_heat_ratio, above(0, 1), "volumetric heat capacity, dry over wet"),
      required(
          number("water_fraction", "", &T::water_fraction, above(0, 1), "share of water in the mass at the start")),
      number("boil_C", "C", &T::boiling_point, above(20, 200),
             "temperature at which the water boils off; not used with physics.bound_water"),
      number("latent_J_kg", "J_kg", &T::latent, above(0, 1e7), "latent heat of the water"),
      number("saturation_exponent", "", &T::saturation_exponent, from(0.5, 10),
             "exponent of the electric conductivity in the water left"),
      number("residual_saturation", "", &T::residual_saturation, from(0, 0.9),
             "water left, as a share, below which the water no longer conducts through"),
      number("conductivity_floor", "", &T::conductivity_floor, above(0, 1), "electric conductivity dry over wet"),
      number("moisture_m2_s", "m2_s", &T::moisture, from(0, 1e-4), "capillary diffusivity of the water"),
      number("gas_fraction", "", &T::gas_fraction, from(0, 0.9), "gas space by volume at the start (vapour)"),
      number("tortuosity", "", &T::tortuosity, above(0, 1),
             "diffusion of vapour in the gas space over that in air (vapour); assumed, range 0.3 to 1"),
      number("perfusion_1_s", "1_s", &T::perfusion, from(0, 1), "blood volume per tissue volume and second"),
      number("blood_heat_J_m3K", "J_m3K", &T::blood_heat, from(0, 1e8), "volumetric heat capacity of blood"),
      number("blood_C", "C", &T::blood, from(0, 100), "temperature of the blood that arrives"),
      number("metabolic_W_m3", "W_m3", &T::metabolic, from(0, 1e6), "heat of metabolism"),
      with_default(text<T>("source", &T::source,
                           "where the numbers come from; in the library a line \"key: source\" for every number"),
                   "the library's, with the keys changed here"),
      with_default(key<T>("damage", KeyKind::table, "",
                          "the tissue's usual damage pair, with the keys of damage; used when no [[damage]] is given"),
                   "the library's"),
  };
  return keys;
}

const Keys<DamagePair>& damage_keys() {
  using D = DamagePair;
  static const Keys<D> keys = {
      required(text<D>("name", &D::name, "letters, digits, _ and -, a letter first")),
      required(number("frequency_1_s", "1_s", &D::frequency, above(0, 1e300), "frequency factor A")),
      required(number("energy_J_mol", "J_mol", &D::energy, above(0, 1e7), "activation energy E")),
      number("floor_C", "C", &D::floor, from(-50, 200),
             "temperature below which damage is not counted: the liver pair alone would make Omega = 1 after 57 min at "
             "37 C"),
      with_default(text<D>("source", &D::source, "where the pair comes from"), "none"),
  };
  return keys;
}

const Keys<Effect>& effect_keys() {
  static const Keys<Effect> keys = {
      required(text<Effect>("name", &Effect::name, "letters, digits, _ and -, a letter first")),
      required(key<Effect>("of", KeyKind::text, "", effect_words())),
      required(number("at", "", &Effect::at, above(0, 1e12), "the value that counts as the effect")),
  };
  return keys;
}

const Keys<Probe>& probe_keys() {
  static const Keys<Probe> keys = {
      required(text<Probe>("name", &Probe::name, "letters, digits, _ and -, a letter first")),
      required(number("r_mm", "mm", &Probe::r, from(0, 1000), "distance from the axis or plane")),
      required(number("z_mm", "mm", &Probe::z, from(0, 1000), "depth below the surface")),
  };
  return keys;
}

const Keys<Grading>& grid_keys() {
  static const Keys<Grading> keys = {
      number("fine_mm", "mm", &Grading::fine, from(0.0005, 100),
             "cell size at the surface and at the electrode; a quarter of it at the electrode's edge and face"),
      number("growth", "", &Grading::growth, from(1, 2), "factor from cell to cell away from them"),
      number("coarse_mm", "mm", &Grading::coarse, from(0.0005, 100), "greatest cell size"),
  };
  return keys;
}

const Keys<TimeSettings>& time_keys() {
  static const Keys<TimeSettings> keys = {
      number("tolerance", "", &TimeSettings::tolerance, above(0, 100),
             "allowed error of a step's prediction, in K: root mean square over the heated tissue; 1 % of the load "
             "counts as 1 K"),
      number("longest_s", "s", &TimeSettings::longest, above(0, 3600), "longest step"),
  };
  return keys;
}

const Keys<OutputSettings>& output_keys() {
  static const Keys<OutputSettings> keys = {
      integer("frames", &OutputSettings::frames, from(1, 100000),
              "frames kept per mode, equally spaced in time, besides the first"),
      [] {
        Key<OutputSettings> fields =
            key<OutputSettings>("fields", KeyKind::texts, "",
                                "the fields kept in each frame: " + field_words() + "; an empty list keeps all");
        fields.member = &OutputSettings::fields;
        fields.default_text = "[] (all)";
        return fields;
      }(),
  };
  return keys;
}

const Keys<ComparisonSettings>& comparison_keys() {
  static const Keys<ComparisonSettings> keys = {
      choice<&ComparisonSettings::basis, ComparisonSettings>(
          "basis",
          "in which sense why and compare set the second mode equal to the first: not at all, by its setting to the "
          "same "
          "setting or the same power averaged over the activation, by its activation to the same energy, or by its "
          "setting to the same time to dry out"),
  };
  return keys;
}

}  // namespace dryfront
