// The circuit of the stray current. Exact: Kirchhoff's two equations of the circuit at one frequency, solved by hand
// for a continuous 60 W source rated for 500 ohm (E = 346.4101615 V behind 500 ohm) at 400 kHz; the answer satisfies
// both equations at every line of any waveform. A lamp of 6 V and 0.1 A beside 20 turns of 3 pF stays dark with a
// touching tip and glows with an open one. A general circuit simulator gives the same
// (tests/peer/circuit_ngspice.py).
#include "physics/circuit.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace dryfront;
using std::numbers::pi;
using Complex = std::complex<double>;

namespace {

Source unregulated() {
  Source source;
  source.kind = SourceKind::unregulated;
  source.setting = 60;
  source.rated_load = 500;
  return source;
}

Circuit touching() {
  Circuit circuit;
  circuit.tissue = 300;
  circuit.beside = 60e-12;
  return circuit;
}

Waveform burst() {
  Waveform waveform;
  waveform.kind = WaveformKind::gated;
  waveform.carrier = 390e3;
  waveform.repeat = 30e3;
  waveform.duty = 2.0 / 13;
  return waveform;
}

}  // namespace

TEST_CASE("the nodes of a touching circuit stand where Kirchhoff's equations put them") {
  const CircuitAnswer answer = solve_circuit(touching(), {}, unregulated());
  REQUIRE(answer.harmonics.size() == 1);
  const CircuitHarmonic& line = answer.harmonics[0];
  CHECK(answer.open_circuit == Approx(346.4101615).epsilon(1e-9));
  CHECK(line.at_tip.real() == Approx(135.90547476).epsilon(1e-9));
  CHECK(line.at_tip.imag() == Approx(-8.25092729).epsilon(1e-9));
  CHECK(line.at_body.real() == Approx(10.47339223).epsilon(1e-9));
  CHECK(line.at_body.imag() == Approx(-0.44137292).epsilon(2e-8));
  CHECK(answer.stray == Approx(18.942725e-3).epsilon(1e-7));
  CHECK(answer.stray_share == Approx(0.04517621).epsilon(1e-7));
}

TEST_CASE("both equations hold at every line of a burst, touching and open") {
  Circuit circuit = touching();
  for (const Tip tip : {Tip::touching, Tip::open}) {
    circuit.tip = tip;
    const Source source = unregulated();
    const CircuitAnswer answer = solve_circuit(circuit, burst(), source);
    const Spectrum lines = spectrum(burst());
    REQUIRE(answer.harmonics.size() == lines.lines.size());
    double stray = 0;
    for (std::size_t k = 0; k < lines.lines.size(); ++k) {
      const CircuitHarmonic& line = answer.harmonics[k];
      const Complex s(0, 2 * pi * line.frequency), E = answer.open_circuit * lines.lines[k].rms;
      if (line.frequency == 0) continue;
      const Complex tip_branch = s * circuit.lead + (tip == Tip::touching ? Complex(300) : 1.0 / (s * circuit.gap));
      const Complex y = 1.0 / tip_branch + 1.0 / (1.0 / (s * circuit.beside) + circuit.beside_resistance);
      const Complex at_a =
          (line.at_tip - E) / 500.0 + s * circuit.ground * line.at_tip + (line.at_tip - line.at_body) * y;
      const Complex at_b = (line.at_body - line.at_tip) * y + line.at_body / circuit.return_resistance;
      CHECK(std::abs(at_a) < 1e-12 * answer.open_circuit);
      CHECK(std::abs(at_b) < 1e-12 * answer.open_circuit);
      stray += std::norm(line.stray);
    }
    CHECK(answer.stray == Approx(std::sqrt(stray)).epsilon(1e-12));
    CHECK(answer.open_circuit == Approx(346.4101615).epsilon(1e-9));
  }
}

TEST_CASE("no coupling strays nothing, and the stray current of a weak one is proportional to it") {
  Circuit circuit = touching();
  circuit.beside = 0;
  CHECK(solve_circuit(circuit, {}, unregulated()).stray == 0);
  circuit.beside = 1e-15;
  const double one = solve_circuit(circuit, {}, unregulated()).stray;
  circuit.beside = 0;
  circuit.turns = 4;
  circuit.turn = 0.5e-15;
  CHECK(solve_circuit(circuit, {}, unregulated()).stray == Approx(2 * one).epsilon(1e-6));
}

TEST_CASE("an indicator lamp stays dark while the tip touches and glows when it is held open") {
  Circuit circuit = touching();
  circuit.beside = 0;
  circuit.turns = 20;
  circuit.turn = 3e-12;
  circuit.lamp_voltage = 6;
  circuit.lamp_current = 0.1;
  const CircuitAnswer dark = solve_circuit(circuit, {}, unregulated());
  CHECK(dark.stray == Approx(18.97e-3).epsilon(3e-4));
  CHECK(dark.filament < glows_from);
  circuit.tip = Tip::open;
  const CircuitAnswer glowing = solve_circuit(circuit, {}, unregulated());
  CHECK(glowing.stray == Approx(51.16e-3).epsilon(3e-4));
  CHECK(glowing.filament == Approx(1550).margin(1));
  // What the filament takes is what it radiates.
  const auto fourth = [](double t) { return t * t * t * t; };
  CHECK(glowing.beside_power ==
        Approx(0.6 * (fourth(glowing.filament) - fourth(293)) / (fourth(2500) - fourth(293))).epsilon(1e-6));
}

TEST_CASE("the characteristic of a source holds for the load that the circuit is") {
  Circuit circuit = touching();
  circuit.beside = 1e-18;
  circuit.ground = circuit.lead = 0;
  Source source;
  source.setting = 60;
  const CircuitAnswer power = solve_circuit(circuit, burst(), source);  // 325 ohm in all
  CHECK(power.open_circuit == Approx(std::sqrt(60 * 325.0)).epsilon(1e-6));
  source.peak_limit = 100;
  CHECK(solve_circuit(circuit, burst(), source).open_circuit == Approx(100 / crest_factor(burst())).epsilon(1e-6));
  Source limited = unregulated();
  limited.peak_limit = 100;
  CHECK(solve_circuit(circuit, {}, limited).at_tip == Approx(100 / std::numbers::sqrt2).epsilon(1e-9));
  limited.peak_limit = 0;
  limited.current_limit = 0.1;
  const CircuitAnswer bounded = solve_circuit(circuit, {}, limited);
  CHECK(std::abs(bounded.harmonics[0].delivered) == Approx(0.1).epsilon(1e-9));
}

TEST_CASE("at an equal rms the crest factor hardly moves what strays, an open tip does") {
  const double even = solve_circuit(touching(), {}, unregulated()).stray;
  const double interrupted = solve_circuit(touching(), burst(), unregulated()).stray;
  CHECK(std::abs(interrupted / even - 1) < 0.05);
  Circuit open = touching();
  open.tip = Tip::open;
  CHECK(solve_circuit(open, {}, unregulated()).stray > 2 * even);
}
