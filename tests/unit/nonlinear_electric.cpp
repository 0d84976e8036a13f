// ElectricSolver with striking and breakdown, where the conductances depend on the field. Exact: a column in series,
// where the operating point follows from one equation that is solved here by bisection; properties of a monotone
// problem (one solution, current that rises with the voltage), elementary.
#include "physics/electric.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <tuple>
#include <utility>
#include <vector>

#include "electric_problem.hpp"

using namespace dryfront;

namespace {

Waveform gated(double duty) {
  Waveform waveform;
  waveform.kind = WaveformKind::gated;
  waveform.duty = duty;
  waveform.repeat = duty * waveform.carrier / 8;
  return waveform;
}

// Voltage across a layer of thickness h that carries the current density J: bisection on its law.
double layer_voltage(double base, double extra, double threshold, const StrikingTable& striking, double thickness,
                     double density) {
  double least = 0, most = density / base;
  for (int k = 0; k < 200; ++k) {
    const double middle = 0.5 * (least + most);
    ((base + extra * striking(threshold / middle)) * middle < density ? least : most) = middle;
  }
  return 0.5 * (least + most) * thickness;
}

// A face under striking and dried tissue below, drawn at random with a fixed start.
struct Dried {
  ElectricProblem problem;

  Dried(double duty, std::uint64_t seed) : problem(electrode(), {2e-4, 1.25, 3e-3}, 0.03, FarVoltage::half_space) {
    const Waveform waveform = gated(duty);
    problem.striking = StrikingTable(waveform, 0.2);
    problem.crest_factor = crest_factor(waveform);
    problem.strike_threshold = 200 / problem.crest_factor;
    problem.breakdown_threshold = 1e6 / problem.crest_factor;
    Draws draws(seed);
    const Grid& grid = problem.grid;
    problem.conductivity.resize(grid.cells());
    problem.breakdown.resize(grid.cells());
    for (int j = 0; j < grid.rows(); ++j) {
      for (int i = 0; i < grid.columns(); ++i) {
        const double r = grid.r()[static_cast<std::size_t>(i)] / 5e-3, z = grid.z()[static_cast<std::size_t>(j)] / 1e-3;
        const double water = std::clamp(r * r + z * z - 0.3 + draws.between(-0.2, 0.2), 0.0, 1.0);
        problem.conductivity[grid.index(i, j)] = 0.5 * std::max(water * water, 1e-3);
        problem.breakdown[grid.index(i, j)] = 0.1 * (1 - water) * (1 - water);
      }
    }
    problem.laws.resize(problem.contact.faces.size());
    for (ContactLaw& law : problem.laws) {
      law.wet = draws.uniform() < 0.7 ? 0 : draws.uniform();
      law.base = 400 * law.wet + 1e-3;
      law.spark = 20 * (1 - 0.4 * law.wet);
    }
  }

  static Electrode electrode() {
    Electrode result;
    result.radius = 6e-3;
    return result;
  }
};

}  // namespace

TEST_CASE("a dried column under a striking contact carries the current of its one equation") {
  const double area = std::numbers::pi * 1e-6;
  for (const double duty : {1.0, 0.5, 0.06, 0.025}) {
    const Waveform waveform = duty == 1 ? Waveform{} : gated(duty);
    for (const double volts : {20.0, 100.0, 300.0, 900.0}) {
      ColumnProblem column(8, 1e-3, 0.004);
      column.striking = StrikingTable(waveform, 0.2);
      column.crest_factor = crest_factor(waveform);
      column.strike_threshold = 200 / column.crest_factor;
      column.breakdown_threshold = 1e6 / column.crest_factor;
      for (int k = 0; k < 8; ++k) {
        const double water = k / 7.0;
        column.conductivity.push_back(0.5 * std::max(water * water, 1e-3));
        column.breakdown.push_back(0.1 * (1 - water) * (1 - water));
      }
      column.contact = {{1e-3, 20, 0}};
      column.source.rms = volts;
      const ElectricState result = column.solved();
      CAPTURE(duty, volts, result.residual);
      CHECK(result.converged);

      const auto total_voltage = [&](double density) {
        double sum = layer_voltage(1e-3, 20, column.strike_threshold, column.striking, 1, density);
        for (std::size_t k = 0; k < 8; ++k) {
          sum += layer_voltage(column.conductivity[k], column.breakdown[k], column.breakdown_threshold, column.striking,
                               0.0005, density);
        }
        return sum;
      };
      double least = 0, most = 1e7;
      for (int k = 0; k < 200; ++k) {
        const double middle = 0.5 * (least + most);
        (total_voltage(middle) < volts ? least : most) = middle;
      }
      CHECK(result.current == Approx(0.5 * (least + most) * area).epsilon(10 * ElectricSolver::tolerance));
    }
  }
}

TEST_CASE("the operating point does not depend on where the iteration starts") {
  for (const auto& [duty, seed] : {std::pair<double, std::uint64_t>{0.5, 5}, {0.5, 6}, {0.06, 5}, {0.025, 6}}) {
    for (const SourceKind kind : {SourceKind::unregulated, SourceKind::constant_power}) {
      Dried cold(duty, seed), warm(duty, seed);
      for (Dried* dried : {&cold, &warm}) {
        dried->problem.source.kind = kind;
        dried->problem.source.setting = 60;
        dried->problem.source.peak_limit = 3000;
      }
      // One comes from a problem with other fields, another source and a voltage far above.
      const Dried other(0.025, 77);
      const auto fields =
          std::tuple{warm.problem.conductivity, warm.problem.breakdown, warm.problem.laws, warm.problem.source};
      warm.problem.conductivity = other.problem.conductivity;
      warm.problem.breakdown = other.problem.breakdown;
      warm.problem.laws = other.problem.laws;
      warm.problem.source.kind = SourceKind::voltage;
      warm.problem.source.rms = 2000;
      ElectricState second;
      warm.problem.conduction.solve(warm.problem.input(), second);
      REQUIRE(second.converged);
      std::tie(warm.problem.conductivity, warm.problem.breakdown, warm.problem.laws, warm.problem.source) = fields;
      warm.problem.conduction.solve(warm.problem.input(), second);
      const ElectricState first = cold.problem.solved();
      CAPTURE(duty, seed, static_cast<int>(kind), first.solves, second.solves);
      REQUIRE(first.converged);
      REQUIRE(second.converged);
      constexpr double allowed = 10 * ElectricSolver::tolerance;
      CHECK(second.resistance == Approx(first.resistance).epsilon(allowed));
      CHECK(second.power == Approx(first.power).epsilon(allowed));
      CHECK(second.surface_power == Approx(first.surface_power).epsilon(allowed));
      CHECK(second.arcing_share == Approx(first.arcing_share).epsilon(allowed).margin(allowed));
    }
  }
}

TEST_CASE("power in is power dissipated while it strikes and breaks down") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    Dried dried(seed % 2 == 0 ? 0.06 : 0.5, seed);
    dried.problem.source.rms = 150.0 * static_cast<double>(seed);
    const ElectricState result = dried.problem.solved();
    CAPTURE(seed, result.solves, result.residual);
    CHECK(result.converged);
    // The inflow is good to the first power of the potential's error, which ends at 3e-8 of the energy norm.
    CHECK(result.rms * result.inflow ==
          Approx(result.volume_power + result.surface_power + result.beyond_power).epsilon(1e-8));
    CHECK(result.residual <= ElectricSolver::tolerance);
    if (seed > 1) CHECK(result.arcing_share > 0);
    for (std::size_t c = 0; c < dried.problem.grid.cells(); ++c) {
      REQUIRE(result.heating[c] >= 0);
      REQUIRE(result.conductivity[c] >= dried.problem.conductivity[c] * (1 - 1e-12));
      REQUIRE(result.conductivity[c] <= (dried.problem.conductivity[c] + dried.problem.breakdown[c]) * (1 + 1e-12));
    }
    for (std::size_t f = 0; f < result.gap_voltage.size(); ++f) {
      REQUIRE(result.gap_voltage[f] >= 0);
      REQUIRE(result.gap_voltage[f] <= result.rms * (1 + 1e-9));
      REQUIRE(result.spark_power[f] >= 0);
      REQUIRE(result.contact_power[f] >= 0);
    }
  }
}

TEST_CASE("the current rises with the voltage, and the conductance too") {
  for (const double duty : {1.0, 0.06}) {
    Dried dried(duty, 3);
    double current = 0, conductance = 0;
    for (double volts = 5; volts < 2000; volts *= 1.3) {
      dried.problem.source.rms = volts;
      const ElectricState result = dried.problem.solved();
      CAPTURE(duty, volts, result.current);
      REQUIRE(result.converged);
      CHECK(result.current > current);
      CHECK(result.current / volts >= conductance * (1 - 10 * ElectricSolver::tolerance));
      current = result.current;
      conductance = result.current / volts;
    }
  }
}

TEST_CASE("below striking and breakdown the problem is linear") {
  Dried dried(1.0, 4);
  dried.problem.source.rms = 1;
  const ElectricState one = dried.problem.solved();
  CHECK(one.arcing_share == Approx(0).margin(1e-12));
  CHECK(one.solves == 1);
  dried.problem.source.rms = 10;
  const ElectricState ten = dried.problem.solved();
  CHECK(ten.resistance == Approx(one.resistance).epsilon(1e-12));
  for (std::size_t c = 0; c < ten.conductivity.size(); ++c) {
    REQUIRE(ten.conductivity[c] == Approx(dried.problem.conductivity[c]).epsilon(1e-12));
  }
}
