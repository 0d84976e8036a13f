#include "physics/circuit.hpp"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <numbers>

namespace dryfront {

namespace {

using Complex = std::complex<double>;
constexpr Complex i{0, 1};
constexpr double room = 293;  // [K]

// Everything at one frequency for E = 1 V and a resistance beside the lead.
CircuitHarmonic at_unit_voltage(const Circuit& circuit, double source_resistance, double beside_resistance,
                                double frequency) {
  const Complex s = i * (2 * std::numbers::pi * frequency);
  const bool touching = circuit.tip == Tip::touching;
  const Complex through_tip = touching ? 1.0 / (s * circuit.lead + circuit.tissue)
                                       : s * circuit.gap / (1.0 + s * circuit.lead * s * circuit.gap);
  const Complex beside = s * coupling(circuit) / (1.0 + s * coupling(circuit) * beside_resistance);
  const Complex across = through_tip + beside;
  const Complex to_return = across / (1.0 + across * circuit.return_resistance);
  const Complex load = s * circuit.ground + to_return;
  CircuitHarmonic answer;
  answer.frequency = frequency;
  answer.at_tip = 1.0 / (1.0 + source_resistance * load);
  answer.at_body = answer.at_tip * to_return * circuit.return_resistance;
  answer.stray = (answer.at_tip - answer.at_body) * beside;
  answer.delivered = answer.at_tip * load;
  answer.returned = answer.at_tip * to_return;
  return answer;
}

struct Sums {
  double stray = 0, through_return = 0, at_tip = 0, at_body = 0, delivered = 0, power = 0;  // squares; power [W]
};

Sums sums_of(const std::vector<CircuitHarmonic>& harmonics, const Spectrum& spectrum) {
  Sums sums;
  for (std::size_t k = 0; k < harmonics.size(); ++k) {
    const CircuitHarmonic& line = harmonics[k];
    sums.stray += std::norm(line.stray);
    sums.at_tip += std::norm(line.at_tip);
    sums.at_body += std::norm(line.at_body);
    sums.delivered += std::norm(line.delivered);
    sums.through_return += std::norm(line.returned);
    sums.power += (spectrum.lines[k].rms * std::conj(line.delivered)).real();
  }
  return sums;
}

void scale(CircuitHarmonic& line, Complex factor) {
  for (Complex* value : {&line.stray, &line.at_tip, &line.at_body, &line.delivered, &line.returned}) *value *= factor;
}

// The rms value of E for the unit answer's sums.
double open_circuit_voltage(const Source& source, double crest, const Sums& unit) {
  double voltage = 0;
  if (source.kind == SourceKind::unregulated) {
    voltage = 2 * std::sqrt(source.setting * source.rated_load);
    if (source.peak_limit > 0) voltage = std::min(voltage, source.peak_limit / (crest * std::sqrt(unit.at_tip)));
    if (source.current_limit > 0) voltage = std::min(voltage, source.current_limit / std::sqrt(unit.delivered));
    return voltage;
  }
  // The characteristic is that of the source's terminals, so the limits are applied there as well.
  const double load = unit.power > 0 ? 1 / unit.power : std::numeric_limits<double>::infinity();
  voltage = source_voltage(source, load, crest);
  if (source.current_limit > 0) voltage = std::min(voltage, source.current_limit / std::sqrt(unit.delivered));
  return voltage;
}

// For a resistance beside the lead.
CircuitAnswer answer_with(const Circuit& circuit, const Spectrum& spectrum, const Source& source, double crest,
                          double beside_resistance) {
  const double own = source.kind == SourceKind::unregulated ? source.rated_load : 0;
  const double source_resistance = circuit.source_resistance > 0 ? circuit.source_resistance : own;
  CircuitAnswer answer;
  for (const Harmonic& line : spectrum.lines) {
    CircuitHarmonic unit = at_unit_voltage(circuit, source_resistance, beside_resistance, line.frequency);
    scale(unit, line.rms);
    answer.harmonics.push_back(unit);
  }
  const Sums unit = sums_of(answer.harmonics, spectrum);
  const double voltage = open_circuit_voltage(source, crest, unit);
  for (CircuitHarmonic& line : answer.harmonics) {
    scale(line, voltage);
  }
  answer.open_circuit = voltage;
  answer.stray = voltage * std::sqrt(unit.stray);
  answer.stray_share = unit.through_return > 0 ? std::sqrt(unit.stray / unit.through_return) : 0;
  answer.at_tip = voltage * std::sqrt(unit.at_tip);
  answer.at_body = voltage * std::sqrt(unit.at_body);
  answer.beside_power = answer.stray * answer.stray * beside_resistance;
  answer.left_out = spectrum.left_out;
  return answer;
}

double filament_resistance(const Circuit& circuit, double temperature) {
  return circuit.lamp_voltage / circuit.lamp_current * std::pow(temperature / rated_filament, 1.2);
}

double radiated(const Circuit& circuit, double temperature) {
  const auto fourth = [](double t) { return t * t * t * t; };
  return circuit.lamp_voltage * circuit.lamp_current * (fourth(temperature) - fourth(room)) /
         (fourth(rated_filament) - fourth(room));
}

}  // namespace

bool has_lamp(const Circuit& circuit) { return circuit.lamp_voltage > 0 && circuit.lamp_current > 0; }

double coupling(const Circuit& circuit) { return circuit.beside > 0 ? circuit.beside : circuit.turns * circuit.turn; }

CircuitAnswer solve_circuit(const Circuit& circuit, const Waveform& waveform, const Source& source) {
  const Spectrum lines = spectrum(waveform);
  const double crest = crest_factor(waveform);
  if (!has_lamp(circuit)) return answer_with(circuit, lines, source, crest, circuit.beside_resistance);

  constexpr double hottest = 6000;  // [K], far above where tungsten melts
  const auto excess = [&](double temperature) {
    const double resistance = filament_resistance(circuit, temperature);
    return answer_with(circuit, lines, source, crest, resistance).beside_power - radiated(circuit, temperature);
  };
  double temperature = room;
  if (excess(room) > 0) {
    std::uintmax_t steps = 100;
    const auto found =
        boost::math::tools::toms748_solve(excess, room, hottest, boost::math::tools::eps_tolerance<double>(40), steps);
    temperature = 0.5 * (found.first + found.second);
  }
  const double resistance = filament_resistance(circuit, temperature);
  CircuitAnswer answer = answer_with(circuit, lines, source, crest, resistance);
  answer.filament = temperature;
  answer.lamp_voltage = answer.stray * resistance;
  return answer;
}

}  // namespace dryfront
