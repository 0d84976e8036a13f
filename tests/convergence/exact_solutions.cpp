// The closed forms the checks use, against numbers of 10 to 16 digits computed by an independent program
// (tests/reference/exact_values.json, which names its sources).
#include "studies/verification/exact_solutions.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "../reference/exact_values.hpp"
#include "studies/verification/manufactured_solution.hpp"

using namespace dryfront;
using nlohmann::json;

namespace {

constexpr double k = 0.5;
constexpr double heat = 1050.0 * 3600;
constexpr double diffusivity = k / heat;

std::vector<double> numbers_of(const std::string& name) {
  std::vector<double> numbers;
  for (std::size_t at = 0; at <= name.size();) {
    const std::size_t comma = std::min(name.find(',', at), name.size());
    numbers.push_back(std::stod(name.substr(at, comma - at)));
    at = comma + 1;
  }
  return numbers;
}

Approx close(double exact) { return Approx(exact).epsilon(1e-9).margin(1e-12); }

}  // namespace

TEST_CASE("closed form: potential of a disc") {
  const json check = exact_values("E1");
  for (const auto& [place, volts] : check.at("values").at("V_at_r_z").items()) {
    const auto at = numbers_of(place);
    CHECK(20 * disc_potential(at[0], at[1], 0.001) == close(volts.get<double>()));
  }
}

TEST_CASE("closed form: flux into a half-space and a slab") {
  const json values = exact_values("H1").at("values");
  for (const auto& [place, T] : values.at("half_space_T_at_z_t").items()) {
    const auto at = numbers_of(place);
    const double length = 2 * std::sqrt(diffusivity * at[1]);
    CHECK(37 + 20000 / k * length * ierfc(at[0] / length) == close(T.get<double>()));
  }
  for (const auto& [time, T] : values.at("slab_T_front").items()) {
    CHECK(37 + heated_slab_front(20000, 0.005, k, diffusivity, std::stod(time)) ==
          Approx(T.get<double>()).epsilon(1e-8));
  }
  for (const auto& [time, T] : values.at("slab_T_back").items()) {
    CHECK(37 + heated_slab_back(20000, 0.005, k, diffusivity, std::stod(time)) ==
          Approx(T.get<double>()).epsilon(1e-8));
  }
}

TEST_CASE("closed form: disc source on a half-space") {
  const json values = exact_values("H2").at("values");
  for (const auto& [place, T] : values.at("T_axis_z_t").items()) {
    const auto at = numbers_of(place);
    CHECK(37 + heated_disc_axis(20000, 0.002, k, diffusivity, at[0], at[1]) == close(T.get<double>()));
  }
}

TEST_CASE("closed form: sources in perfused tissue") {
  const json values = exact_values("H5").at("values");
  for (const auto& [rho, T] : values.at("point_source_half_space_surface_rise_K").items()) {
    CHECK(perfused_point_source(0.05, k, 40000, std::stod(rho)) == close(T.get<double>()));
  }
  for (const auto& [place, T] : values.at("point_source_transient_rise_K").items()) {
    const auto at = numbers_of(place);
    CHECK(perfused_point_source_after(0.05, k, 40000, heat, at[0], at[1]) == close(T.get<double>()));
  }
  for (const auto& [rho, T] : values.at("heated_ball_rise_K").items()) {
    CHECK(perfused_ball(2e6, 0.003, k, 40000, std::stod(rho)) == close(T.get<double>()));
  }
}

TEST_CASE("closed form: drying front") {
  const json values = exact_values("B2").at("values");
  DryingFront front{0.25, 1.2e6, 0.5, 3.78e6, 250, 100, 100, 700 * 2.257e6};
  CHECK(drying_front_lambda(front) == close(values.at("lambda_one_phase").get<double>()));
  front.start = 37;
  CHECK(drying_front_lambda(front) == close(values.at("lambda_two_phase").get<double>()));
}

TEST_CASE("closed form: Kohlrausch's relation") {
  const json values = exact_values("C1").at("values");
  CHECK(kohlrausch_temperature(8, 16, 0.5, 0.5, 0.015, 37) == close(values.at("T_max_C").get<double>()));
}

TEST_CASE("closed form: manufactured solution") {
  const json values = exact_values("M1").at("values").at("values_at_r_z_t");
  for (const auto& [place, value] : values.items()) {
    const auto at = numbers_of(place);
    CHECK(manufactured::temperature(at[0], at[1], at[2]) == close(value.at("T").get<double>()));
    CHECK(manufactured::potential(at[0], at[1], at[2]) == close(value.at("V").get<double>()));
    CHECK(manufactured::joule_heat(at[0], at[1], at[2]) == close(value.at("joule").get<double>()));
    CHECK(manufactured::charge_source(at[0], at[1], at[2]) == close(value.at("S_V").get<double>()));
    CHECK(manufactured::heat_source(at[0], at[1], at[2]) == close(value.at("S_T").get<double>()));
  }
}
