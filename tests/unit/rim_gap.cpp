// The gap beside a touching face: profiles of the electrodes, strike law, the place of the first strike, and channels
// that land beside the face in ElectricSolver. Exact: geometry; Weber's potential beside an equipotential disc.
#include "physics/rim_gap.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "electric_problem.hpp"
#include "physics/electrode_shape.hpp"

using namespace dryfront;

namespace {

using std::numbers::pi;

Electrode flat(double radius, double edge_radius) {
  Electrode electrode;
  electrode.radius = radius;
  electrode.edge_radius = edge_radius;
  return electrode;
}

Electrode dome(double radius, double press) {
  Electrode electrode;
  electrode.shape = ElectrodeShape::dome;
  electrode.radius = radius;
  electrode.press = press;
  return electrode;
}

RimGap gap_beside(const Electrode& electrode, const std::vector<double>& temperature) {
  RimGap rim;
  rim.electrode = &electrode;
  rim.least_strike = 200;
  rim.drop = 80;
  rim.width = 1e-4;
  rim.temperature = temperature;
  return rim;
}

// Beside a disc of potential 1 on a half-space (Weber 1873, from memory).
double weber(double a, double r) { return 2 / pi * std::asin(a / r); }

// The least of V_strike/theta over the surface beside a disc, by trying places that lie close.
double least_peak(const Electrode& disc, double temperature) {
  double least = 1e30;
  for (double x = 1e-8; x < 5e-3; x *= 1.0005) {
    const double strike = std::max(200.0, air_strike(profile_gap(disc, x), temperature));
    least = std::min(least, strike / (1 - weber(disc.radius, disc.radius + x)));
  }
  return least;
}

}  // namespace

TEST_CASE("air breaks down at 24.2 delta d + 6.08 sqrt(delta d) kV") {
  // From memory; 1 cm of it at 20 C is the textbooks' 30 kV.
  CHECK(air_strike(1e-2, 20) == Approx(30280));
  CHECK(air_strike(1e-3, 20) == Approx(1000 * (2.42 + 6.08 * std::sqrt(0.1))));
  CHECK(air_strike(1e-3, 313) == Approx(air_strike(0.5e-3, 20)));  // twice the absolute temperature, half the gas
}

TEST_CASE("the gap beside a face is that of its profile") {
  CHECK(profile_gap(flat(6e-3, 0), 1e-3) == Approx(pi / 2 * 1e-3));
  const Electrode rounded = flat(6e-3, 0.5e-3);
  CHECK(profile_gap(rounded, 0.01e-3) == Approx(0.01e-3 * 0.01e-3 / (2 * 0.5e-3)).epsilon(2e-4));  // x^2/(2 rho)
  for (const double x : {0.1e-3, 0.3e-3, 0.5e-3}) {  // a point of the circle about (a, -rho)
    CHECK(std::hypot(x, 0.5e-3 - profile_gap(rounded, x)) == Approx(0.5e-3));
  }
  CHECK(profile_gap(rounded, 1.5e-3) == Approx(0.5e-3 + pi / 2 * 1e-3));
  const Electrode ball = dome(2.5e-3, 0.2e-3);
  const double reach = std::sqrt(0.2 * (5 - 0.2)) * 1e-3;
  for (const double x : {0.0, 0.01e-3, 0.5e-3, 1.4e-3}) {
    CHECK(std::hypot(reach + x, 2.5e-3 - 0.2e-3 - profile_gap(ball, x)) == Approx(2.5e-3));
  }
  CHECK(std::isinf(profile_gap(ball, 2e-3)));
  for (const Electrode& electrode : {flat(6e-3, 0), rounded, ball}) {
    for (const double x : {1e-6, 1e-5, 1e-4, 5e-4, 1.2e-3}) {
      CHECK(profile_distance(electrode, profile_gap(electrode, x)) == Approx(x));
    }
    const ProfileLine side = side_line(electrode);
    for (std::size_t k = 0; k + 1 < side.r.size(); ++k) {
      const double x = side.r[k] - side.r.front();
      CHECK(profile_gap(electrode, x) == Approx(-side.z[k]).margin(1e-12));
    }
  }
}

TEST_CASE("the free surface beside every shape is what nothing covers, from each edge away") {
  Electrode ring = flat(4e-3, 0), rod = flat(0.5e-3, 0);
  ring.shape = ElectrodeShape::ring;
  ring.inner_radius = 2e-3;
  rod.shape = ElectrodeShape::rod;
  rod.length = 2e-3;
  for (const Electrode& electrode : {flat(3e-3, 0), ring, rod, dome(2.5e-3, 0.2e-3)}) {
    ElectricProblem problem(electrode, {1e-4, 1.2, 2e-3}, 0.02, FarVoltage::half_space);
    const ContactGeometry& contact = problem.contact;
    std::vector<int> seen(contact.covered.begin(), contact.covered.end());
    int edges = 0;
    double end = 0;
    for (const FreeSurfaceCell& cell : contact.free_surface) {
      ++seen.at(cell.face.cell);
      edges += cell.first ? 1 : 0;
      CHECK(cell.near == Approx(cell.first ? 0 : end).margin(1e-12));
      CHECK(cell.near < cell.middle);
      CHECK(cell.middle < cell.far);
      end = cell.far;
      if (cell.first) {
        const double r = problem.grid.r()[contact.faces[cell.touching].cell % problem.grid.r().size()];
        CHECK(std::abs(r - problem.grid.r()[cell.face.cell]) < 2.5e-4);
      }
    }
    CHECK(edges == (electrode.shape == ElectrodeShape::ring ? 2 : 1));
    CHECK(std::all_of(seen.begin(), seen.end(), [](int times) { return times == 1; }));
  }
  ElectricProblem covering(flat(0.02, 0), {1e-3, 1.2, 2e-3}, 0.02, FarVoltage::grounded);
  CHECK(covering.contact.free_surface.empty());
}

TEST_CASE("beside an equipotential disc it strikes first where, and at the peak at which, Weber's potential has it") {
  for (const double edge_radius : {0.0, 0.5e-3}) {
    for (const double temperature : {20.0, 100.0}) {
      const Electrode disc = flat(1e-3, edge_radius);
      ElectricProblem problem(disc, {5e-6, 1.1, 2e-3}, 0.04, FarVoltage::half_space);
      // Weber's own potential at the centres of the two top rows, so that the law alone is tried.
      std::vector<double> potential(problem.grid.cells(), 1.0), temperatures(problem.grid.cells(), temperature);
      for (std::size_t c = 0; c < 2 * problem.grid.r().size(); ++c) {
        const std::size_t i = c % problem.grid.r().size(), j = c / problem.grid.r().size();
        const double r = problem.grid.r()[i], z = problem.grid.z()[j];
        const double to_far = std::hypot(r + 1e-3, z), to_near = std::hypot(r - 1e-3, z);
        potential[c] = 2 / pi * std::asin(2e-3 / (to_far + to_near));
      }
      const RimGap rim = gap_beside(disc, temperatures);
      const FirstStrike first = first_strike(problem.grid, problem.contact, rim, potential, {});
      INFO(edge_radius << " " << temperature);
      CHECK(1 / first.ratio == Approx(least_peak(disc, temperature)).epsilon(edge_radius > 0 ? 1e-3 : 0.03));
      CHECK(air_strike(profile_gap(disc, first.distance), temperature) == Approx(200).epsilon(1e-6));
    }
  }
}

TEST_CASE("which of two gaps strikes first is counted right") {
  constexpr double spread = 0.2;
  for (const double k : {0.5, 0.9, 1.0, 1.2, 1.45, 2.0}) {
    constexpr int n = 1000;
    double first = 0;
    for (int i = 0; i < n; ++i) {
      for (int j = 0; j < n; ++j) {
        const double a = 1 + spread * (2 * (i + 0.5) / n - 1), b = 1 + spread * (2 * (j + 0.5) / n - 1);
        first += a / k < b ? 1 : a / k == b ? 0.5 : 0;
      }
    }
    CHECK(share_of_first(k, 1, spread) == Approx(first / n / n).margin(2e-3));
  }
  CHECK(share_of_first(1, 1, 0) == Approx(0.5));
  CHECK(share_of_first(0, 0, spread) == 0);
  CHECK(share_of_first(1, 0, spread) == 1);
}

namespace {

// A small disc on wet spots, or dry ones, and a gap beside it.
struct Beside {
  Electrode disc;
  ElectricProblem problem;
  std::vector<double> temperature;
  StruckWaveform struck{Waveform{}, 0.2};
  SparkGap sparks;
  RimGap rim;

  Beside(double contact, double spread)
      : disc(flat(1e-3, 0.5e-3)),
        problem(disc, {5e-5, 1.2, 2e-3}, 0.03, FarVoltage::half_space),
        temperature(problem.grid.cells(), 22.0),
        struck(Waveform{}, spread),
        rim(gap_beside(disc, temperature)) {
    problem.conductivity.assign(problem.grid.cells(), 0.4);
    problem.laws.assign(problem.contact.faces.size(), {contact, 0, contact > 1 ? 1.0 : 0.0});
    rim.strike_spread = spread;
    rim.root_conductivity.assign(problem.contact.free_surface.size(), 0.4);
    sparks.waveform = &struck;
    sparks.crest_factor = std::numbers::sqrt2;
    sparks.strike = 200;
    sparks.drop = 80;
    sparks.current_density = 1e7;
    sparks.root_conductivity = 0.4;
    for (const ContactFace& face : problem.contact.faces) {
      sparks.share.push_back(face.area / problem.contact.area);
    }
    problem.crest_factor = sparks.crest_factor;
  }
  ElectricState solved(double peak, bool with_rim) {
    problem.source.rms = peak / std::numbers::sqrt2;
    ElectricInput input = problem.input();
    input.sparks = &sparks;
    if (with_rim) input.rim = &rim;
    ElectricState state;
    problem.conduction.solve(input, state);
    REQUIRE(state.converged);
    return state;
  }
};

double sum(const std::vector<double>& values) {
  double all = 0;
  for (const double value : values) all += value;
  return all;
}

}  // namespace

TEST_CASE("a wet contact arcs at its rim from a peak on, and not under its face") {
  Beside wet(30000, 0.2);
  const ElectricState calm = wet.solved(100, true), without = wet.solved(1500, false), struck = wet.solved(1500, true);
  CHECK(calm.arcing_share == 0);
  CHECK(without.arcing_share == 0);
  CHECK(struck.arcing_share > 1e-3);
  CHECK(sum(struck.rim_spark) > 0);
  CHECK(sum(struck.rim_root) > 0);
  CHECK(sum(struck.spark_power) == 0);
  // Most of it where 200 V suffice or a little more do; the edge's place for 200 V is 95 um out.
  double near = 0;
  for (std::size_t k = 0; k < struck.rim_spark.size(); ++k) {
    const FreeSurfaceCell& cell = wet.problem.contact.free_surface[k];
    if (cell.near < 0.3e-3) near += struck.rim_spark[k];
    if (cell.near > 0.5e-3) CHECK(struck.rim_spark[k] == 0);
  }
  CHECK(near > 0.9 * sum(struck.rim_spark));
  CHECK(struck.resistance < without.resistance);
}

TEST_CASE("channels beside the face close the balance of the power") {
  for (const double contact : {30000.0, 1e-3}) {  // wet, and dry: there the gap below the face strikes as well
    Beside setup(contact, 0.2);
    const ElectricState state = setup.solved(1500, true);
    const double lost = state.volume_power + state.surface_power + state.beyond_power;
    CHECK(state.rms * state.inflow == Approx(lost).epsilon(1e-6));
    CHECK(state.power == Approx(lost).epsilon(1e-6));
    CHECK(state.arcing_share > 1e-3);
    CHECK(sum(state.rim_spark) > 0);
    CHECK((sum(state.spark_power) > 0) == (contact < 1));
  }
}

TEST_CASE("channels beside the face are a circuit of the tissue's open voltage and resistance") {
  Beside setup(30000, 0);
  constexpr double peak = 2500;
  const ElectricState state = setup.solved(peak, true);
  // By hand, from linear solves: the open voltage and the potential of a current fed into the same cells, small beside
  // that of 1 V.
  constexpr double fed_current = 1e-6;
  const ElectricState unstruck = setup.problem.solved();
  std::vector<double> share(state.rim_spark);
  const double all = sum(share);
  for (double& part : share) part /= all;
  std::vector<double> injected(setup.problem.grid.cells(), 0.0);
  const auto& surface = setup.problem.contact.free_surface;
  double open = 0;
  for (std::size_t k = 0; k < share.size(); ++k) {
    const double rms = setup.problem.source.rms;
    open += share[k] * (1 - unstruck.potential[surface[k].face.cell] / rms);
    injected[surface[k].face.cell] += fed_current * share[k];
  }
  ElectricInput input = setup.problem.input();
  Source one;
  one.kind = SourceKind::voltage;
  one.rms = 1;
  input.source = &one;
  const ElectricState of_one = [&] {
    ElectricState result;
    setup.problem.conduction.solve(input, result);
    return result;
  }();
  input.injected = injected;
  ElectricState fed;
  setup.problem.conduction.solve(input, fed);
  double resistance = 0;  // of the current into the surface with the electrode at 0 V: the difference of the two
  for (std::size_t k = 0; k < share.size(); ++k) {
    const ContactFace& face = surface[k].face;
    resistance += share[k] * ((fed.potential[face.cell] - of_one.potential[face.cell]) / fed_current +
                              share[k] / (face.half_cell * 0.4));
  }
  // i = (theta |u| - V_d)/(R + R_root) from the strike to the drop, the root's radius from its peak current.
  double current = 1e-3, root = 0;
  for (int pass = 0; pass < 200; ++pass) {
    root = 1 / (4 * 0.4 * std::sqrt(current / (pi * 1e7)));
    current = (open * peak - 80) / (resistance + root);
  }
  const FirstStrike first = first_strike(setup.problem.grid, setup.problem.contact, setup.rim, of_one.potential, [&] {
    std::vector<double> face_open(setup.problem.contact.faces.size());
    for (std::size_t f = 0; f < face_open.size(); ++f) face_open[f] = of_one.gap_voltage[f];
    return face_open;
  }());
  const double begin = std::asin(1 / (first.ratio * peak)), end = pi - std::asin(80 / (open * peak));
  const double mean = (std::cos(begin) - std::cos(end)) / pi, time = (end - begin) / pi;
  const double drops = 80 * (open * peak * mean - 80 * time) / (resistance + root);
  CHECK(sum(state.rim_spark) == Approx(drops).epsilon(1e-4));
}
