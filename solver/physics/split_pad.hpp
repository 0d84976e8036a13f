// A return electrode of two halves on layered tissue, and the impedance between them that a contact monitor reads.
#pragma once

#include <complex>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "numerics/enumeration.hpp"

namespace dryfront {

// How the pad comes off: along the gap (both halves from one end), across it (one half from its outer edge), from an
// outer corner of one half; halves that touch each other; one half off.
enum class Peel { along, across, corner, touching, one_off };
constexpr auto enumerators(Peel) {
  return enumeration<Peel>({{Peel::along, "along"},
                            {Peel::across, "across"},
                            {Peel::corner, "corner"},
                            {Peel::touching, "touching"},
                            {Peel::one_off, "one_off"}});
}

struct PadLayer {
  double thickness = 0;     // [m]; 0: endless, the last one
  double conductivity = 0;  // [S/m]
  double permittivity = 0;  // relative [-]

  bool operator==(const PadLayer&) const = default;
};

// Each member is the key of the same name in [pad]. Defaults are assumed.
struct SplitPad {
  std::vector<double> half{0.05, 0.1};  // size of a half across the gap and along it [m]
  double gap = 6e-3;                    // between the halves [m]
  double contact = 0;                   // conductance of the contact [S/m2]
  double contact_capacitance = 0;       // or its capacitance, lossless [F/m2]
  double monitor = 100e3;               // frequency of the monitor [Hz]
  double low = 20, high = 120;          // its band [ohm]
  double rise = 0.3;                    // over the lowest reading that it takes for a fault [-]
  bool accepts_single = false;          // a reading below the band counts as a pad in one piece
  Peel peel = Peel::along;
  std::vector<double> peeled{0, 0.1, 0.2, 0.3, 0.4, 0.5};  // shares of the whole pad [-]
  std::vector<PadLayer> layers;

  bool operator==(const SplitPad&) const = default;
};

// A piece of a half on the surface, with the current that it carries. The gap lies along x = 0, half 0 on its left.
struct PadPiece {
  double x0 = 0, x1 = 0, y0 = 0, y1 = 0;  // [m]
  int half = 0;
  std::complex<double> current_density = 0;  // of 1 A from half to half [A/m2]
};

// What is left of the halves when a share of the whole pad has come off, cut into pieces that are finest at the edges;
// none of a half that is gone. `fineness` is the number of pieces across a half.
//   along   both halves end sooner, by the share of their length
//   across  half 1 ends sooner, by twice the share of its width
//   corner  half 1 loses a right triangle at an outer corner, with equal legs until one is as long as the half is wide
std::vector<PadPiece> pad_pieces(const SplitPad& pad, double peeled, int fineness);

// The impedance between the halves for a share that has come off; nothing where the circuit is open, 0 where the halves
// touch. Method of moments: current densities constant on the pieces, voltages equal at their middles,
//   V_half = J/g + sum over pieces J' int da' G,   G by surface images (surface_images.hpp),
// g = contact, or i omega C' of a contact that is a capacitance; a perfect one where neither is given. Tissue conducts
// with sigma + i omega eps_r eps_0 at the monitor's frequency. Computed on 12 and 16 pieces across and extrapolated by
// the square of their size.   [ohm]
// `pieces` is given the finer ones with their current densities where they are asked for.
// Throws std::runtime_error when the images do not fit the layers to 1e-4.
std::optional<std::complex<double>> pad_impedance(const SplitPad& pad, double peeled,
                                                  std::vector<PadPiece>* pieces = nullptr);

// The same, as a monitor would see it at all shares of the pad.
struct PadReadings {
  std::vector<std::optional<std::complex<double>>> impedance;  // nothing: open [ohm]
  std::vector<double> reading;                                 // |Z|; infinite: open [ohm]
  std::optional<double> alarm_at;                              // share, on straight lines between the shares [-]
  std::string_view alarm;                                      // low, high, rise, open; empty: none
};
// From the impedances: what the monitor reads, and its alarm.
void find_readings(const SplitPad& pad, PadReadings& readings);
// The alarm for given readings: outside the band (below it not where a single pad is accepted), or above (1 + rise)
// times the lowest so far. The shares of the pad are in rising order.
void find_alarm(const SplitPad& pad, PadReadings& readings);

}  // namespace dryfront
