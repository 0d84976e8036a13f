// Heat, one implicit stage. Exact: Pennes relaxation (H6), the spreading of a Gaussian (H3), Pennes' steady profile
// (H4), heating, boil-off and reheating of one cell (B1), all from exact_values.json where their sources stand; energy
// balances.
#include "physics/heat.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "exact_values.hpp"
#include "numerics/flux.hpp"
#include "random_fields.hpp"

using namespace dryfront;

namespace {

// Cells without water: start temperature, heat capacity per volume.
EnthalpyLaw waterless(const Grid& grid, double start, double capacity) {
  EnthalpyLaw enthalpy;
  enthalpy.start.assign(grid.cells(), start);
  enthalpy.boiling_point.assign(grid.cells(), 100.0);
  enthalpy.latent.assign(grid.cells(), 0.0);
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) enthalpy.wet.push_back(capacity * grid.volume(i, j));
  }
  enthalpy.dry = enthalpy.wet;
  return enthalpy;
}

struct Stage {
  HeatStage stage;
  std::vector<double> temperature, heat_gained, face_temperature;

  explicit Stage(const Grid& grid)
      : stage(grid.columns(), grid.rows()),
        temperature(grid.cells()),
        heat_gained(grid.cells()),
        face_temperature(grid.cells()) {}
  HeatStage::Report solve(const HeatOperator& heat, const EnthalpyLaw& enthalpy, const std::vector<double>& known,
                          double duration, double allowed) {
    temperature = enthalpy.start;
    return stage.solve(heat, enthalpy, known, duration, allowed, temperature, heat_gained, face_temperature);
  }
};

HeatOperator operator_of(const Grid& grid, const ContactGeometry& contact, const HeatBoundaries& boundaries,
                         double film, double k, double perfusion, double outlet) {
  HeatOperator heat;
  heat.outlet_temperature.fill(outlet);
  std::vector<double> sink;
  for (int j = 0; perfusion > 0 && j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) sink.push_back(perfusion * grid.volume(i, j));
  }
  set_heat_operator(grid, contact, boundaries, std::vector<double>(contact.faces.size(), film),
                    std::vector<double>(grid.cells(), k), sink, heat);
  return heat;
}

// An electrode of one cell's radius; `covered` is what the heat operator asks for.
ContactGeometry small_contact(const Grid& grid) {
  Electrode electrode;
  electrode.radius = grid.r_face()[1];
  return contact_geometry(grid, electrode);
}

Grid one_cell() { return Grid({0, 1e-3}, {0, 1e-3}); }

std::vector<double> even_faces(int cells, double length) {
  std::vector<double> face;
  for (int k = 0; k <= cells; ++k) face.push_back(length * k / cells);
  return face;
}

double sum_of(const std::vector<double>& field) { return std::accumulate(field.begin(), field.end(), 0.0); }

}  // namespace

TEST_CASE("a cell heats, boils at a constant temperature and heats on, exact in energy") {
  const auto exact = exact_values("B1");
  const auto& p = exact["parameters"];
  const double wet = p["rho_c_wet"], dry = p["rho_c_dry"], start = p["T0"], boil = p["Tb"], q = p["q"];
  const double latent = p["w0"].get<double>() * p["Lv"].get<double>();
  const EnthalpyLaw cell{{start}, {wet}, {dry}, {latent}, {boil}};  // one cubic metre
  const auto& v = exact["values"]["a_const_power"];
  const double boils = v["t_boil_s"], dries = v["t_dry_s"], middle = v["t_mid_s"];
  CHECK(temperature_at_enthalpy(cell, 0, q * boils) == Approx(boil).epsilon(1e-12));
  CHECK(vaporised_fraction(cell, 0, q * boils) == Approx(0).margin(1e-12));
  CHECK(temperature_at_enthalpy(cell, 0, q * middle) == boil);
  CHECK(1 - vaporised_fraction(cell, 0, q * middle) == Approx(v["water_fraction_at_mid"].get<double>()).epsilon(1e-12));
  CHECK(temperature_at_enthalpy(cell, 0, q * dries) == Approx(boil).epsilon(1e-12));
  CHECK(vaporised_fraction(cell, 0, q * dries * 1.0001) == 1);
  CHECK(temperature_at_enthalpy(cell, 0, q * dries * 1.1) == Approx(v["T_at_1.1_t_dry"].get<double>()).epsilon(1e-12));
  CHECK(temperature_at_enthalpy(cell, 0, -q) == Approx(start - q / wet).epsilon(1e-14));  // cooling
}

TEST_CASE("a closed cell goes through boiling in any number of steps to the same end") {
  const auto exact = exact_values("B1");
  const auto& p = exact["parameters"];
  const Grid grid = one_cell();
  const double volume = grid.volume(0, 0), q = p["q"];
  const double wet = p["rho_c_wet"], dry = p["rho_c_dry"], boil = p["Tb"];
  const double latent = p["w0"].get<double>() * p["Lv"].get<double>();
  const ContactGeometry contact = small_contact(grid);
  const HeatOperator closed = operator_of(grid, contact, {}, 0, 0.5, 0, 0);
  const double end = 1.1 * exact["values"]["a_const_power"]["t_dry_s"].get<double>();
  for (const int steps : {1, 2, 7, 40, 333}) {
    double temperature = p["T0"], water = 1;
    Stage stage(grid);
    for (int k = 0; k < steps; ++k) {
      const double capacity = (dry + water * (wet - dry)) * volume;
      const EnthalpyLaw enthalpy{{temperature}, {capacity}, {dry * volume}, {latent * water * volume}, {boil}};
      const auto report = stage.solve(closed, enthalpy, {q * volume * end / steps}, end / steps, 1e-9);
      REQUIRE(report.converged);
      water *= 1 - vaporised_fraction(enthalpy, 0, stage.heat_gained[0]);
      temperature = stage.temperature[0];
    }
    CAPTURE(steps);
    CHECK(water == Approx(0).margin(1e-13));
    CHECK(temperature == Approx(exact["values"]["a_const_power"]["T_at_1.1_t_dry"].get<double>()).epsilon(1e-10));
  }
}

TEST_CASE("water in a cell hotter than boiling boils at once, and without latent heat nothing boils") {
  const EnthalpyLaw hot{{140}, {10}, {4}, {100}, {100}};     // J/K, J
  CHECK(temperature_at_enthalpy(hot, 0, 0) == Approx(175));  // 400 J above boiling, 100 J of them boil all: 300/4
  CHECK(vaporised_fraction(hot, 0, 0) == 1);
  const EnthalpyLaw wetter{{110}, {10}, {4}, {200}, {100}};
  CHECK(temperature_at_enthalpy(wetter, 0, 0) == 100);
  CHECK(vaporised_fraction(wetter, 0, 0) == Approx(0.5));
  const EnthalpyLaw off{{90}, {10}, {4}, {0}, {100}};
  CHECK(temperature_at_enthalpy(off, 0, 300) == 120);
  CHECK(vaporised_fraction(off, 0, 300) == 0);
}

TEST_CASE("perfused tissue relaxes as implicit Euler must, and Pennes' exponential is its limit") {
  const auto exact = exact_values("H6");
  const auto& p = exact["parameters"];
  const double capacity = p["rho"].get<double>() * p["c"].get<double>(), sink = p["W"], blood = p["Ta"];
  const Grid grid(even_faces(3, 3e-3), even_faces(2, 2e-3));
  const ContactGeometry contact = small_contact(grid);
  const HeatOperator heat = operator_of(grid, contact, {}, 0, 0.5, sink, blood);
  const double tau = capacity / sink, equilibrium = exact["values"]["T_equilibrium_C"], step = 0.05;
  std::vector<double> known;
  for (int j = 0; j < 2; ++j) {
    for (int i = 0; i < 3; ++i) known.push_back(p["qm"].get<double>() * grid.volume(i, j) * step);
  }
  EnthalpyLaw enthalpy = waterless(grid, p["T0"], capacity);
  Stage stage(grid);
  for (int k = 1; k <= 200; ++k) {
    REQUIRE(stage.solve(heat, enthalpy, known, step, 1e-10).converged);
    enthalpy.start = stage.temperature;
  }
  const double start = p["T0"].get<double>() - equilibrium;
  for (const double T : stage.temperature) {
    REQUIRE(T == Approx(equilibrium + start * std::pow(1 + step / tau, -200)).epsilon(1e-9));
    REQUIRE(T == Approx(exact["values"]["T_at_t"]["10"].get<double>()).epsilon(1e-4));
  }
}

TEST_CASE("a very long stage ends in Pennes' steady profile") {
  const auto exact = exact_values("H4");
  const auto& p = exact["parameters"];
  // The electrode covers the top and holds it at Ts; insulated below.
  const double depth = p["L"];
  const Grid grid({0, 1e-3}, even_faces(200, depth));
  const ContactGeometry contact = small_contact(grid);
  HeatOperator heat;
  heat.outlet_temperature.fill(p["Ta"]);
  heat.outlet_temperature[static_cast<std::size_t>(HeatOutlet::electrode)] = p["Ts"];
  const HeatBoundaries boundaries;
  const std::vector<double> ideal(contact.faces.size(), std::numeric_limits<double>::infinity());
  std::vector<double> sink, known;
  constexpr double duration = 1e6;
  for (int j = 0; j < grid.rows(); ++j) {
    sink.push_back(p["W"].get<double>() * grid.volume(0, j));
    known.push_back(p["qm"].get<double>() * grid.volume(0, j) * duration);
  }
  set_heat_operator(grid, contact, boundaries, ideal, std::vector<double>(grid.cells(), p["k"].get<double>()), sink,
                    heat);
  Stage stage(grid);
  REQUIRE(stage.solve(heat, waterless(grid, 37, 3.8e6), known, duration, 1e-9).converged);
  const double delta = exact["values"]["delta_m"], equilibrium = exact["values"]["T_equilibrium_C"];
  for (int j = 0; j < grid.rows(); ++j) {
    const double z = grid.z()[static_cast<std::size_t>(j)];
    const double T =
        equilibrium + (p["Ts"].get<double>() - equilibrium) * std::cosh((depth - z) / delta) / std::cosh(depth / delta);
    REQUIRE(stage.temperature[static_cast<std::size_t>(j)] == Approx(T).margin(1e-3));
  }
  const double flux = -outlet_heat(heat, HeatOutlet::electrode, stage.temperature, 1) / grid.axial_area(0);
  CHECK(flux == Approx(exact["values"]["slab_front_flux_W_per_m2"].get<double>()).epsilon(1e-4));
}

TEST_CASE("a warm spot spreads as a Gaussian") {
  const auto exact = exact_values("H3");
  const auto& p = exact["parameters"];
  const double capacity = p["rho"].get<double>() * p["c"].get<double>(), ambient = p["Ta"];
  const double sr = p["sr"], sz = p["sz"], alpha = exact["values"]["alpha"];
  const std::vector<double> marks{0.0};
  const auto faces = graded_faces(0, 0.012, {}, marks, {1e-4, 1.08, 5e-4});
  const Grid grid(faces, faces);
  const ContactGeometry contact = small_contact(grid);
  const HeatOperator heat = operator_of(grid, contact, {}, 0, p["k"], 0, ambient);
  EnthalpyLaw enthalpy = waterless(grid, ambient, capacity);
  const auto gaussian = [&](double r, double z, double t) {
    const double wide_r = sr * sr + 2 * alpha * t, wide_z = sz * sz + 2 * alpha * t;
    return p["dT"].get<double>() * sr * sr / wide_r * sz / std::sqrt(wide_z) *
           std::exp(-r * r / (2 * wide_r) - z * z / (2 * wide_z));
  };
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      enthalpy.start[grid.index(i, j)] +=
          gaussian(grid.r()[static_cast<std::size_t>(i)], grid.z()[static_cast<std::size_t>(j)], 0);
    }
  }
  const double excess_before = inner_product(enthalpy.start, enthalpy.wet);
  Stage stage(grid);
  constexpr int steps = 400;
  for (int k = 0; k < steps; ++k) {
    REQUIRE(stage.solve(heat, enthalpy, std::vector<double>(grid.cells(), 0.0), 5.0 / steps, 1e-8).converged);
    enthalpy.start = stage.temperature;
  }
  CHECK(inner_product(enthalpy.start, enthalpy.wet) == Approx(excess_before).epsilon(1e-13));
  for (int j = 0; j < grid.rows(); ++j) {
    for (int i = 0; i < grid.columns(); ++i) {
      const double r = grid.r()[static_cast<std::size_t>(i)], z = grid.z()[static_cast<std::size_t>(j)];
      const double rise = enthalpy.start[grid.index(i, j)] - ambient;
      REQUIRE(std::abs(rise - gaussian(r, z, 5)) <= 0.01 * gaussian(0, 0, 5));  // first order in time
    }
  }
}

TEST_CASE("many boiling cells settle in few passes, and energy is exact to round-off") {
  Draws draws(17);
  const std::vector<double> marks{0.0};
  const Grid grid(graded_faces(0, 0.02, {}, marks, {1e-4, 1.1, 1e-3}),
                  graded_faces(0, 0.02, {}, marks, {1e-4, 1.1, 1e-3}));
  const ContactGeometry contact = small_contact(grid);
  for (const double duration : {1e-3, 0.05, 1.0}) {
    for (const bool open : {false, true}) {
      HeatBoundaries boundaries;
      if (open) boundaries = {20, false, true, true};
      const HeatOperator heat = operator_of(grid, contact, boundaries, open ? 1000.0 : 0.0, 0.5, open ? 4e4 : 0.0, 22);
      EnthalpyLaw enthalpy = waterless(grid, 0, 0);
      std::vector<double> known(grid.cells());
      for (int j = 0; j < grid.rows(); ++j) {
        for (int i = 0; i < grid.columns(); ++i) {
          const std::size_t c = grid.index(i, j);
          const double r = grid.r()[static_cast<std::size_t>(i)], z = grid.z()[static_cast<std::size_t>(j)];
          const double near = std::exp(-(r * r + z * z) / (2 * 6e-3 * 6e-3));
          const double water = z < 5e-4 ? 0.0 : draws.uniform();
          enthalpy.start[c] = 30 + (water > 0 ? 69.9 : 200) * near;
          enthalpy.wet[c] = (1e6 + 2.8e6 * water) * grid.volume(i, j);
          enthalpy.dry[c] = 1e6 * grid.volume(i, j);
          enthalpy.latent[c] = 1.7e9 * water * grid.volume(i, j);
          known[c] = 3e9 * near * draws.uniform() * grid.volume(i, j) * duration;
        }
      }
      Stage stage(grid);
      const auto report = stage.solve(heat, enthalpy, known, duration, 1e-3);
      CAPTURE(duration, open, report.passes, report.iterations);
      REQUIRE(report.converged);
      CHECK(report.passes <= 20);

      int boiling = 0;
      double gone = 0;
      for (std::size_t o = 0; o < heat_outlets; ++o) {
        gone += outlet_heat(heat, static_cast<HeatOutlet>(o), stage.face_temperature, duration);
      }
      for (std::size_t c = 0; c < grid.cells(); ++c) {
        REQUIRE(stage.temperature[c] == temperature_at_enthalpy(enthalpy, c, stage.heat_gained[c]));
        REQUIRE(std::abs(stage.temperature[c] - stage.face_temperature[c]) <= 0.02);
        const double share = vaporised_fraction(enthalpy, c, stage.heat_gained[c]);
        if (share > 0 && share < 1) {
          ++boiling;
          REQUIRE(stage.temperature[c] == 100);
        }
        if (enthalpy.latent[c] > 0 && share < 1) REQUIRE(stage.temperature[c] <= 100);
        // what a cell took up is what it stored and boiled
        const double stored =
            share < 1 ? enthalpy.wet[c] * (stage.temperature[c] - enthalpy.start[c])
                      : enthalpy.wet[c] * (100 - enthalpy.start[c]) + enthalpy.dry[c] * (stage.temperature[c] - 100);
        REQUIRE(stored + share * enthalpy.latent[c] ==
                Approx(stage.heat_gained[c]).epsilon(1e-9).margin(1e-12 * enthalpy.wet[c]));
      }
      if (duration > 1e-3) CHECK(boiling > 50);
      const double magnitude = sum_of(known) + std::abs(gone);
      CHECK(std::abs(sum_of(stage.heat_gained) + gone - sum_of(known)) <= 1e-11 * magnitude);
    }
  }
}

TEST_CASE("each outlet's conductance is its film and half cell in series") {
  const Grid grid({0, 1e-3, 3e-3}, {0, 1e-3, 2e-3});
  const ContactGeometry contact = small_contact(grid);
  HeatOperator heat = operator_of(grid, contact, {10, false, true, true}, 1000, 0.5, 4e4, 0);
  const auto link = [&](HeatOutlet outlet) -> const std::vector<HeatLink>& {
    return heat.link[static_cast<std::size_t>(outlet)];
  };
  REQUIRE(link(HeatOutlet::air).size() == 1);  // the electrode covers the other column
  CHECK(link(HeatOutlet::air)[0].cell == 1);
  CHECK(link(HeatOutlet::air)[0].conductance == Approx(grid.axial_area(1) / (1 / 10.0 + 0.5e-3 / 0.5)).epsilon(1e-13));
  REQUIRE(link(HeatOutlet::electrode).size() == 1);
  CHECK(link(HeatOutlet::electrode)[0].conductance ==
        Approx(grid.axial_area(0) / (1 / 1000.0 + 0.5e-3 / 0.5)).epsilon(1e-13));
  REQUIRE(link(HeatOutlet::far).size() == 4);  // two at the side, two at the bottom
  CHECK(link(HeatOutlet::far)[0].conductance == Approx(grid.radial_area(2, 0) * 0.5 / 1e-3).epsilon(1e-13));
  CHECK(link(HeatOutlet::far)[3].conductance == Approx(grid.axial_area(1) * 0.5 / 0.5e-3).epsilon(1e-13));
  CHECK(link(HeatOutlet::perfusion).size() == 4);

  heat = operator_of(grid, contact, {}, std::numeric_limits<double>::infinity(), 0.5, 0, 0);
  CHECK(link(HeatOutlet::electrode)[0].conductance == Approx(grid.axial_area(0) * 0.5 / 0.5e-3).epsilon(1e-13));
  CHECK(link(HeatOutlet::air).empty());
  CHECK(link(HeatOutlet::far).empty());
  CHECK(operator_of(grid, contact, {}, 0, 0.5, 0, 0).link[1].empty());  // insulated electrode
}

TEST_CASE("a heat source that is no number is not solved in silence") {
  const Grid grid(even_faces(4, 4e-3), even_faces(4, 4e-3));
  const ContactGeometry contact = small_contact(grid);
  std::vector<double> known(grid.cells(), 0.0);
  known[5] = std::numeric_limits<double>::quiet_NaN();
  Stage stage(grid);
  CHECK_FALSE(stage.solve(operator_of(grid, contact, {}, 0, 0.5, 0, 0), waterless(grid, 20, 3.8e6), known, 0.1, 1e-3)
                  .converged);
}
