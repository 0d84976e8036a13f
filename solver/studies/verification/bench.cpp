// What a bench class meets beside the two depths: stray current, the contact monitor, power against load, tissue at a
// frequency.
#include <algorithm>
#include <boost/math/special_functions/ellint_1.hpp>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>

#include "physics/circuit.hpp"
#include "physics/cole_cole.hpp"
#include "physics/power_load.hpp"
#include "physics/spectrum.hpp"
#include "physics/split_pad.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;
using Complex = std::complex<double>;

Source source_of(SourceKind kind) {
  Source source;
  source.kind = kind;
  source.setting = 60;
  source.rated_load = 500;
  return source;
}

std::vector<Finding> stray_current(Effort) {
  Circuit circuit;
  circuit.tissue = 300;
  circuit.beside = 60e-12;
  const Source source = source_of(SourceKind::unregulated);
  const CircuitAnswer closed = solve_circuit(circuit, {}, source);
  const Complex tip = closed.harmonics.at(0).at_tip, body = closed.harmonics.at(0).at_body;
  // Eight digits were given.
  std::vector<Finding> findings{finding("lead, real part [V]", 135.90547476, tip.real(), 1e-8),
                                finding("lead, imaginary part [V]", -8.25092729, tip.imag(), 1e-8),
                                finding("body, real part [V]", 10.47339223, body.real(), 1e-8),
                                finding("body, imaginary part [V]", -0.44137292, body.imag(), 2e-8),
                                finding("stray current [A]", 18.942725e-3, closed.stray, 1e-7),
                                finding("of the current in the return [-]", 0.04517621, closed.stray_share, 1e-7)};
  // Held open, without ground and lead: one loop, E into R_s, both capacitances beside each other (R_x = 0), R_p.
  circuit.tip = Tip::open;
  circuit.ground = circuit.lead = 0;
  circuit.beside_resistance = 0;
  const double w = 2 * pi * 400e3, both = circuit.gap + circuit.beside;
  const double current = 2 * std::sqrt(60 * 500.0) / std::abs(Complex(500 + 25, -1 / (w * both)));
  findings.push_back(finding("held open, one loop: stray current [A]", current * circuit.beside / both,
                             solve_circuit(circuit, {}, source).stray, 1e-12));
  // A filament takes what it radiates.
  circuit.lamp_voltage = 6;
  circuit.lamp_current = 0.1;
  const CircuitAnswer lit = solve_circuit(circuit, {}, source);
  const auto fourth = [](double t) { return t * t * t * t; };
  findings.push_back(finding("power of a lamp at its temperature [W]",
                             0.6 * (fourth(lit.filament) - fourth(293)) / (fourth(2500) - fourth(293)),
                             lit.beside_power, 1e-6));
  findings.push_back(finding("its resistance [ohm]", 60 * std::pow(lit.filament / 2500, 1.2),
                             lit.beside_power / (lit.stray * lit.stray), 1e-9));
  return findings;
}

std::vector<Finding> lines_of_a_burst(Effort) {
  constexpr int n = 3, M = 13;
  Waveform burst;
  burst.kind = WaveformKind::gated;
  burst.repeat = 30e3;
  burst.carrier = M * burst.repeat;
  burst.duty = 1.0 * n / M;
  const Spectrum found = spectrum(burst);
  const double rms = std::sqrt(0.5 * n / M);
  std::vector<Finding> findings;
  double all = 0;
  for (const Harmonic& line : found.lines) {
    all += std::norm(line.rms);
    const int m = static_cast<int>(std::lround(line.frequency / burst.repeat));
    if (m != 1 && m != 12 && m != M && m != 20) continue;
    const double one_side =
        m == M ? 0.5 * n / M : M * std::abs(std::sin(pi * m * n / M)) / (pi * std::abs(M * M - m * m));
    findings.push_back(finding("line " + std::to_string(m) + " over the whole rms [-]",
                               std::numbers::sqrt2 * one_side / rms, std::abs(line.rms), 1e-9));
  }
  findings.push_back(finding("mean square of all lines and of what is left out [-]", 1, all + found.left_out, 1e-12));
  return findings;
}

SplitPad even_pad(double contact) {
  SplitPad pad;
  pad.contact = contact;
  pad.layers = {{0, 0.2, 0}};
  return pad;
}

std::vector<Finding> split_pad(Effort) {
  // Halves as long as that lose less than 1 % through their ends.
  SplitPad strip = even_pad(0);
  strip.half[1] = 8;
  const double s = strip.gap, w = strip.half[0], square = s * (s + 2 * w) / ((s + w) * (s + w));
  const double exact = boost::math::ellint_1(std::sqrt(square)) / boost::math::ellint_1(std::sqrt(1 - square));
  std::vector<Finding> findings{finding("long halves, resistance times length times conductivity [-]", exact,
                                        pad_impedance(strip, 0)->real() * 0.2 * strip.half[1], 0.01)};
  // A contact so poor that it alone matters, the tissue's 40 ohm being a millionth: the two halves' areas in series.
  constexpr double g = 1e-5;
  SplitPad poor = even_pad(g);
  const double area = poor.half[0] * poor.half[1];
  findings.push_back(finding("poor contact [ohm]", 2 / (g * area), pad_impedance(poor, 0)->real(), 1e-5));
  findings.push_back(
      finding("poor contact, 30 % off along [ohm]", 2 / (g * 0.7 * area), pad_impedance(poor, 0.3)->real(), 1e-5));
  poor.peel = Peel::across;
  findings.push_back(finding("poor contact, 30 % off across [ohm]", (1 + 1 / 0.4) / (g * area),
                             pad_impedance(poor, 0.3)->real(), 1e-5));
  SplitPad lossless = even_pad(0);
  lossless.contact_capacitance = 1e-12;
  findings.push_back(finding("lossless contact, reactance [ohm]",
                             -2 / (2 * pi * lossless.monitor * lossless.contact_capacitance * area),
                             pad_impedance(lossless, 0)->imag(), 1e-4));
  // One layer over another of the same conductivity is no layer.
  SplitPad layered = even_pad(1000);
  const double whole = pad_impedance(layered, 0)->real();
  layered.layers = {{2e-3, 0.2, 0}, {0, 0.2, 0}};
  findings.push_back(finding("the same tissue in two layers [ohm]", whole, pad_impedance(layered, 0)->real(), 1e-4));
  return findings;
}

// Of a finer moment computation, kept apart from the program; to 0.1 %, as its own pieces are.
std::vector<Finding> split_pad_on_layers(Effort) {
  constexpr double omega = 2 * pi * 100e3 * 8.8541878128e-12;
  SplitPad pad = even_pad(100);
  std::vector<Finding> findings{
      finding("even tissue, contact 100 S/m2 [ohm]", 36.9118, pad_impedance(pad, 0)->real(), 1e-3)};
  pad.layers = {
      {1.5e-3, 0.0658374, 0.0855039 / omega}, {8e-3, 0.0434017, 0.000564639 / omega}, {0, 0.361849, 0.0450020 / omega}};
  const Complex impedance = *pad_impedance(pad, 0);
  const double size = std::abs(Complex(70.160, -14.495));
  findings.push_back(finding("skin, fat, muscle: resistance [ohm]", 70.160, impedance.real(), 1e-3, size));
  findings.push_back(finding("skin, fat, muscle: reactance [ohm]", -14.495, impedance.imag(), 1e-3, size));
  pad.contact = 1000;
  pad.peel = Peel::across;
  findings.push_back(finding("the same, contact 1000 S/m2, 40 % off across, reading [ohm]", 111.69,
                             std::abs(*pad_impedance(pad, 0.4)), 1e-3));
  return findings;
}

std::vector<Finding> power_against_load(Effort) {
  const double sine = std::numbers::sqrt2;
  Source limited = source_of(SourceKind::constant_power);
  limited.current_limit = 1;
  limited.peak_limit = 500;
  Source flat = source_of(SourceKind::constant_power);
  flat.flat = {100, 1000};
  const Source unregulated = source_of(SourceKind::unregulated);
  const auto power = [&](const Source& source, double load) { return delivered_into(source, load, sine).power; };
  std::vector<Finding> findings{
      finding("60 W, 1 A, 500 V peak into 10 ohm [W]", 10, power(limited, 10), 1e-12),
      finding("into 500 ohm [W]", 60, power(limited, 500), 1e-12),
      finding("into 5000 ohm [W]", 25, power(limited, 5000), 1e-12),
      finding("60 W rated for 500 ohm into 100 ohm [W]", 60 * 4 * 500.0 * 100 / (600.0 * 600), power(unregulated, 100),
              1e-12),
      finding("flat from 100 to 1000 ohm into 10 ohm [W]", 6, power(flat, 10), 1e-12),
      finding("into 5000 ohm [W]", 12, power(flat, 5000), 1e-12),
      finding("open circuit of the unregulated source over its matched voltage [-]", 2,
              source_voltage(unregulated, std::numeric_limits<double>::infinity(), sine) / std::sqrt(60 * 500.0),
              1e-12)};
  const LoadPoint point = delivered_into(unregulated, 500, 5.773503);
  findings.push_back(finding("peak at the rated load, duty 6 % [V]", 1000, point.peak, 1e-6));
  findings.push_back(finding("rms voltage times rms current [W]", 60, point.rms * point.current, 1e-12));
  // The curve has a point where the peak limit sets in.
  double nearest = std::numeric_limits<double>::infinity();
  const double corner = 500 * 500.0 / (2 * 60);
  for (const LoadPoint& of : power_load_curve(limited, sine)) nearest = std::min(nearest, std::abs(of.load - corner));
  findings.push_back(finding("the curve's corner at 2083.3 ohm, distance [ohm], of it", 0, nearest, 1e-9, corner));
  return findings;
}

std::vector<Finding> tissue_at_half_a_megahertz(Effort) {
  struct Row {
    const char* name;
    double conductivity, permittivity;
  };
  constexpr Row rows[] = {{"blood", .7482, 4189},    {"fat", .0438, 56.8},     {"heart", .2807, 3265},
                          {"kidney", .2283, 3443},   {"liver", .1481, 2770},   {"muscle", .4459, 3647},
                          {"skin_dry", .0042, 1062}, {"skin_wet", .1776, 3610}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    for (const ColeColeTissue& tissue : cole_cole_tissues()) {
      if (tissue.name != row.name) continue;
      const Dielectric at = dielectric_at(tissue, 500e3);
      const std::string name = row.name;
      // Half of the last digit printed.
      findings.push_back(finding(name + ": conductivity [S/m], absolute", row.conductivity, at.conductivity, 5e-5, 1));
      findings.push_back(finding(name + ": relative permittivity, absolute", row.permittivity, at.permittivity,
                                 row.permittivity < 100 ? 0.05 : 0.5, 1));
    }
  }
  findings.push_back(
      finding("tissues of the table found", std::size(rows), 0.5 * static_cast<double>(findings.size()), 0));
  ColeColeTissue water{"", 5, {}, 0.1};
  water.terms[0] = {75, 8.3e-12, 0};
  const double omega = 2 * pi * 1e9, x = omega * 8.3e-12, displaced = omega * 8.8541878128e-12;
  const Dielectric at = dielectric_at(water, 1e9);
  const double conductivity = 0.1 + displaced * 75 * x / (1 + x * x), permittivity = 5 + 75 / (1 + x * x);
  findings.push_back(finding("one relaxation: conductivity [S/m]", conductivity, at.conductivity, 1e-12));
  findings.push_back(finding("one relaxation: relative permittivity [-]", permittivity, at.permittivity, 1e-12));
  findings.push_back(finding("one relaxation: omega eps over sigma [-]", displaced * permittivity / conductivity,
                             at.loss_angle, 1e-12));
  return findings;
}

}  // namespace

std::vector<VerificationCheck> bench_checks() {
  return {
      {"N1", "Stray current beside a lead", "Kirchhoff's equations solved by hand; peer: a circuit simulator",
       stray_current},
      {"N2", "Lines of a gated sine", "Fourier coefficients of whole cycles (elementary); Parseval", lines_of_a_burst},
      {"N3", "Split return electrode: limits", "conformal mapping K(k)/K(k') (from memory); contacts in series",
       split_pad},
      {"N4", "Split return electrode on layers", "moments on finer pieces, a separate computation",
       split_pad_on_layers},
      {"N5", "Power against load", "elementary circuit", power_against_load},
      {"N6", "Tissue at a frequency",
       "Gabriel, Lau and Gabriel 1996 at 500 kHz (read second-hand); one relaxation: Debye 1929",
       tissue_at_half_a_megahertz}};
}

}  // namespace dryfront
