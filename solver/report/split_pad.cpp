#include "report/split_pad.hpp"

#include <fmt/format.h>

#include <cmath>

#include "files/caution.hpp"
#include "numerics/enumeration.hpp"
#include "report/bench_caution.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3, kHz = 1e3;

const char* words_of_peel(Peel peel) {
  switch (peel) {
    case Peel::along:
      return "along the gap, both halves from one end";
    case Peel::across:
      return "across the gap, one half from its outer edge";
    case Peel::corner:
      return "from an outer corner of one half";
    case Peel::touching:
      return "not at all, but the halves touch";
    case Peel::one_off:
      return "one half";
  }
  return "";
}

std::string contact_words(const SplitPad& pad) {
  if (pad.contact > 0) return fmt::format("contact {:g} S/m2", pad.contact);
  if (pad.contact_capacitance > 0) return fmt::format("contact {:g} nF/cm2, lossless", 1e5 * pad.contact_capacitance);
  return "perfect contact";
}

std::string alarm_text(const SplitPad& pad, const PadReadings& readings) {
  if (!readings.alarm_at) return "No alarm at any of these shares.\n";
  std::string why;
  if (readings.alarm == "open") why = "the circuit is open";
  if (readings.alarm == "low") why = fmt::format("the reading is below {:g} ohm", pad.low);
  if (readings.alarm == "high") why = fmt::format("the reading is above {:g} ohm", pad.high);
  if (readings.alarm == "rise") why = fmt::format("the reading has risen by {:g} %", 100 * pad.rise);
  return fmt::format("Alarm with {:.0f} % of the pad off: {}.\n", 100 * *readings.alarm_at, why);
}

}  // namespace

std::string split_pad_text(const std::string& title, const SplitPad& pad, const PadReadings& readings) {
  std::string text = fmt::format("{}\n\n", title.empty() ? "A return electrode of two halves" : title);
  text += fmt::format("halves     {:g} mm across, {:g} mm along, {:g} mm apart; {}\n", pad.half[0] / mm,
                      pad.half[1] / mm, pad.gap / mm, contact_words(pad));
  text += fmt::format("monitor    at {:g} kHz, {:g} to {:g} ohm, a rise of {:g} %{}\n", pad.monitor / kHz, pad.low,
                      pad.high, 100 * pad.rise, pad.accepts_single ? "; takes a pad in one piece" : "");
  text += fmt::format("comes off  {}\n\n  off   reading        impedance\n", words_of_peel(pad.peel));
  for (std::size_t k = 0; k < pad.peeled.size(); ++k) {
    const auto& impedance = readings.impedance[k];
    text += fmt::format("{:>4.0f} %", 100 * pad.peeled[k]);
    text += impedance ? fmt::format("{:>7.1f} ohm{:>9.1f} {} {:.1f}i ohm\n", readings.reading[k], impedance->real(),
                                    impedance->imag() < 0 ? "-" : "+", std::abs(impedance->imag()))
                      : "   open\n";
  }
  return text + "\n" + alarm_text(pad, readings) + "\n" + wrapped(bench_caution) + wrapped(caution);
}

Json split_pad_json(const std::string& title, const SplitPad& pad, const PadReadings& readings,
                    const std::string& version, const std::string& case_path) {
  Json object{{"version", version},
              {"case", case_path},
              {"title", title},
              {"peel", std::string(word_of(pad.peel))},
              {"peeled", pad.peeled}};
  object["ohm"] = Json::array();
  object["reading_ohm"] = Json::array();
  for (std::size_t k = 0; k < readings.impedance.size(); ++k) {
    const auto& impedance = readings.impedance[k];
    object["ohm"].push_back(impedance ? Json::array({impedance->real(), impedance->imag()}) : Json(nullptr));
    object["reading_ohm"].push_back(number_or_null(readings.reading[k]));
  }
  object["alarm_at"] = readings.alarm_at ? Json(*readings.alarm_at) : Json(nullptr);
  object["alarm"] = readings.alarm_at ? Json(std::string(readings.alarm)) : Json(nullptr);
  object["band_ohm"] = {pad.low, pad.high};
  object["caution"] = std::string(bench_caution) + " " + caution;
  return object;
}

Json pad_picture_json(const std::string& title, const PadPicture& picture) {
  const SplitPad& pad = picture.pads.front();
  Json object{{"title", title.empty() ? "A return electrode of two halves" : title},
              {"band_ohm", {pad.low, pad.high}},
              {"peel", std::string(word_of(pad.peel))},
              {"seen_at", picture.seen_at}};
  object["curves"] = Json::array();
  for (std::size_t k = 0; k < picture.pads.size(); ++k) {
    object["curves"].push_back(split_pad_json(title, picture.pads[k], picture.readings[k], "", ""));
  }
  object["pieces"] = Json::array();
  for (const PadPiece& piece : picture.pieces) {
    object["pieces"].push_back({{"x0", piece.x0},
                                {"x1", piece.x1},
                                {"y0", piece.y0},
                                {"y1", piece.y1},
                                {"A_m2", std::abs(piece.current_density)}});
  }
  object["caution"] = std::string(bench_caution) + " " + caution;
  return object;
}

}  // namespace dryfront
