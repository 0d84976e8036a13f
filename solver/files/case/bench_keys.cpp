// The keys of what a bench class meets beside the tissue.
#include "files/case/key_builders.hpp"
#include "files/case/key_table.hpp"

namespace dryfront {

const Keys<Circuit>& circuit_keys() {
  using C = Circuit;
  constexpr double most = 1e7;  // [ohm], [pF], [uH]
  static const Keys<C> keys = {
      with_default(
          number("source_ohm", "ohm", &C::source_resistance, from(0, most),
                 "resistance behind which the source's voltage stands; 0: what the source has, rated_load_ohm of an "
                 "unregulated one"),
          "0 (the source's)"),
      number("ground_pF", "pF", &C::ground, from(0, most), "capacitance from the beginning of the lead to the return"),
      number("lead_uH", "uH", &C::lead, from(0, most), "inductance of the lead to the tip"),
      choice<&C::tip, C>("tip", "the electrode touches the tissue, or is held off it with the source active"),
      with_default(number("tissue_ohm", "ohm", &C::tissue, from(0, most), "load of the tissue between tip and body"),
                   "required for touching"),
      number("gap_pF", "pF", &C::gap, from(0, most), "capacitance between a tip that is held off and the body"),
      with_default(number("beside_pF", "pF", &C::beside, from(0, most),
                          "capacitance between the lead and the conductor beside it"),
                   "required, or turns"),
      with_default(number("turns", "", &C::turns, from(0, 1e4), "turns of the lead about the conductor beside it"),
                   "required, or beside_pF"),
      number("turn_pF", "pF", &C::turn, from(0, most), "capacitance of one turn"),
      number("beside_ohm", "ohm", &C::beside_resistance, from(0, most),
             "resistance from the conductor beside the lead to the body"),
      number("return_ohm", "ohm", &C::return_resistance, from(0, most),
             "resistance from the body through the return electrode"),
      with_default(number("lamp_V", "V", &C::lamp_voltage, from(0, 1e4),
                          "rated voltage of an indicator lamp in place of beside_ohm"),
                   "no lamp"),
      with_default(number("lamp_A", "A", &C::lamp_current, from(0, 1e3), "its rated current"), "no lamp"),
  };
  return keys;
}

const Keys<SplitPad>& pad_keys() {
  using P = SplitPad;
  static const Keys<P> keys = {
      with_default(numbers("half_mm", "mm", &P::half, above(0, 1000), "size of a half, across the gap and along it"),
                   "[50, 100]"),
      number("gap_mm", "mm", &P::gap, above(0, 1000), "between the halves"),
      with_default(number("contact_S_m2", "S_m2", &P::contact, above(0, 1e9), "conductance of the contact per area"),
                   "perfect, or contact_nF_cm2"),
      with_default(number("contact_nF_cm2", "nF_cm2", &P::contact_capacitance, above(0, 1e6),
                          "capacitance of the contact per area, lossless"),
                   "perfect, or contact_S_m2"),
      number("monitor_kHz", "kHz", &P::monitor, above(0, 1e5), "frequency at which the monitor measures"),
      number("low_ohm", "ohm", &P::low, from(0, 1e6), "lower end of the monitor's band"),
      number("high_ohm", "ohm", &P::high, above(0, 1e6), "upper end of it"),
      number("rise", "", &P::rise, above(0, 100), "rise over the lowest reading that counts as a fault"),
      flag("accepts_single", &P::accepts_single,
           "a reading below the band counts as a pad in one piece, not as a fault"),
      choice<&P::peel, P>("peel",
                          "how the pad comes off: along the gap (both halves from one end), across it (one half from "
                          "its outer edge), from an outer corner of one half; halves that touch; one half off"),
      with_default(numbers("peeled", "", &P::peeled, from(0, 0.999999), "shares of the whole pad that have come off"),
                   "[0, 0.1, 0.2, 0.3, 0.4, 0.5]"),
      with_default(key<P>("layer", KeyKind::tables, "", "the layers below the pad"),
                   "the specimen's, as their spectra have them (dryfront tissue)"),
  };
  return keys;
}

const Keys<PadLayer>& pad_layer_keys() {
  using L = PadLayer;
  static const Keys<L> keys = {
      with_default(number("thickness_mm", "mm", &L::thickness, above(0, 1000), "of the layer; the last one has none"),
                   "endless"),
      required(number("conductivity_S_m", "S_m", &L::conductivity, above(0, 100), "at the monitor's frequency")),
      number("relative_permittivity", "", &L::permittivity, from(0, 1e8), "at the monitor's frequency"),
  };
  return keys;
}

}  // namespace dryfront
