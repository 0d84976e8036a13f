// The four-term Cole-Cole model against the values printed beside its table at 500 kHz (Gabriel, Lau and Gabriel 1996,
// read second-hand), a Debye dispersion in closed form (Debye 1929), and its limits.
#include "physics/cole_cole.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>
#include <string>

using namespace dryfront;

namespace {

constexpr double vacuum_permittivity = 8.8541878128e-12;

const ColeColeTissue& named(std::string_view name) {
  const auto all = cole_cole_tissues();
  const auto found = std::find_if(all.begin(), all.end(), [&](const ColeColeTissue& t) { return t.name == name; });
  REQUIRE(found != all.end());
  return *found;
}

}  // namespace

TEST_CASE("The tissues at 500 kHz are as published", "[cole_cole]") {
  struct Published {
    const char* name;
    double conductivity, permittivity;
    int digits;  // of the permittivity after the point
  };
  for (const Published& row :
       {Published{"blood", 0.7482, 4189, 0}, Published{"fat", 0.0438, 56.8, 1}, Published{"heart", 0.2807, 3265, 0},
        Published{"kidney", 0.2283, 3443, 0}, Published{"liver", 0.1481, 2770, 0}, Published{"muscle", 0.4459, 3647, 0},
        Published{"skin_dry", 0.0042, 1062, 0}, Published{"skin_wet", 0.1776, 3610, 0}}) {
    INFO(row.name);
    const Dielectric at = dielectric_at(named(row.name), 500e3);
    CHECK(std::abs(at.conductivity - row.conductivity) <= 0.5e-4);
    CHECK(std::abs(at.permittivity - row.permittivity) <= 0.5 * std::pow(10.0, -row.digits));
    CHECK(at.loss_angle ==
          Approx(2 * std::numbers::pi * 500e3 * vacuum_permittivity * at.permittivity / at.conductivity));
  }
  CHECK(cole_cole_tissues().size() == 8);
}

TEST_CASE("One dispersion without spread is Debye's", "[cole_cole]") {
  ColeColeTissue water{"water", 5, {}, 0.1};
  water.terms[0] = {75, 8.3e-12, 0};
  for (const double frequency : {1e6, 1e9, 20e9}) {
    const double omega = 2 * std::numbers::pi * frequency, x = omega * 8.3e-12;
    const Dielectric at = dielectric_at(water, frequency);
    CHECK(at.permittivity == Approx(5 + 75 / (1 + x * x)).epsilon(1e-12));
    CHECK(at.conductivity == Approx(0.1 + omega * vacuum_permittivity * 75 * x / (1 + x * x)).epsilon(1e-12));
  }
}

TEST_CASE("Conductivity rises and permittivity falls with frequency, as in every relaxing medium", "[cole_cole]") {
  for (const ColeColeTissue& tissue : cole_cole_tissues()) {
    INFO(tissue.name);
    double conductivity = 0, permittivity = 1e300;
    for (double frequency = least_cole_cole_frequency; frequency <= greatest_cole_cole_frequency; frequency *= 1.5) {
      const Dielectric at = dielectric_at(tissue, frequency);
      CHECK(at.conductivity >= conductivity);
      CHECK(at.permittivity <= permittivity);
      conductivity = at.conductivity;
      permittivity = at.permittivity;
    }
    CHECK(dielectric_at(tissue, 1e-6).conductivity == Approx(tissue.ionic).margin(1e-9));
  }
}
