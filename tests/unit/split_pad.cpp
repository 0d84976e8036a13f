// The split return electrode. Exact: two plates in the surface of a conductor without end, long beside their width,
// R' sigma = K(k)/K(k') with k^2 = s (s + w1 + w2)/((s + w1)(s + w2)) for a length of one (conformal mapping); a disc
// of even current density over layers, whose images have to give the Hankel integral; a half-space needs one image.
// From a moment computation on finer pieces than the program's: 50 x 100 mm halves, 6 mm apart, on 0.2 S/m: 30.977,
// 36.9118 and 29.910 ohm for a contact of 1000, 100 S/m2 and a perfect one; on 1.5 mm of skin and 8 mm of fat over
// muscle at 100 kHz, contact 100 S/m2: 70.160 - 14.495i ohm.
#include "physics/split_pad.hpp"

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/special_functions/ellint_1.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "physics/surface_images.hpp"

using namespace dryfront;
using std::numbers::pi;

namespace {

constexpr double at_100_kHz = 2 * pi * 100e3 * 8.8541878128e-12;  // omega eps_0 [S/m]

SplitPad on_even_tissue(double contact) {
  SplitPad pad;
  pad.contact = contact;
  pad.layers = {{0, 0.2, 0}};
  return pad;
}

SplitPad on_layers(double contact) {
  SplitPad pad;
  pad.contact = contact;
  pad.layers = {{1.5e-3, 0.0658374, 0.0855039 / at_100_kHz},
                {8e-3, 0.0434017, 0.000564639 / at_100_kHz},
                {0, 0.361849, 0.0450020 / at_100_kHz}};
  return pad;
}

std::vector<ConductingLayer> layers() {
  return {{1.5e-3, {0.0658374, 0.0855039}}, {8e-3, {0.0434017, 0.000564639}}, {0, {0.361849, 0.0450020}}};
}

}  // namespace

TEST_CASE("an even tissue needs one image, layers as many as fit their kernel") {
  const SurfaceImages even = surface_images({{0, {0.2, 0}}});
  REQUIRE(even.images.size() == 1);
  CHECK(even.images[0].share.real() == Approx(5));
  CHECK(surface_images(layers()).residual < 1e-5);
}

TEST_CASE("the images give the potential of a disc of even current density over layers") {
  // In the middle of a disc of radius a and J = 1, whose Hankel transform is a J_1(l a)/l:
  // V = a int K(l) J_1(l a)/l dl, a/kappa on even tissue; by images the sum of share_k (sqrt(a^2 + d_k^2) - d_k).
  const double a = 10e-3;
  using Quadrature = boost::math::quadrature::gauss_kronrod<double, 61>;
  const std::complex<double> top = 1.0 / layers().front().conductivity;
  std::complex<double> exact = top * a;
  constexpr double stretch = 40;  // 1/m; K is that of the top layer within 1e-6 after 100 of them
  for (int k = 0; k < 100; ++k) {
    const auto part = [&](auto of) {
      return Quadrature::integrate(
          [&](double l) { return of(surface_kernel(layers(), l) - top) * boost::math::cyl_bessel_j(1, l * a) / l; },
          1e-9 + k * stretch, 1e-9 + (k + 1) * stretch, 8, 1e-10);
    };
    exact += a * std::complex<double>(part([](auto x) { return x.real(); }), part([](auto x) { return x.imag(); }));
  }
  std::complex<double> found = 0;
  for (const SurfaceImage& image : surface_images(layers()).images) {
    found += image.share * (std::sqrt(a * a + image.depth * image.depth) - image.depth);
  }
  CHECK(std::abs(found - exact) < 1e-4 * std::abs(exact));
}

TEST_CASE("long plates have the resistance of conformal mapping") {
  SplitPad pad = on_even_tissue(0);
  pad.half = {0.05, 4.0};
  const double s = pad.gap, w = pad.half[0];
  const auto exact = [s, w](double second) {
    const double square = s * (s + w + second) / ((s + w) * (s + second));
    return boost::math::ellint_1(std::sqrt(square)) / boost::math::ellint_1(std::sqrt(1 - square));
  };
  CHECK(exact(w) == Approx(0.7379529637).epsilon(1e-9));
  CHECK(exact(0.25 * w) == Approx(0.90892607).epsilon(1e-7));
  // The ends of plates 4 m long let 1.5 % more pass.
  CHECK(pad_impedance(pad, 0)->real() * 0.2 * pad.half[1] == Approx(exact(w)).epsilon(0.02));
  pad.half[1] = 8;
  CHECK(pad_impedance(pad, 0)->real() * 0.2 * pad.half[1] == Approx(exact(w)).epsilon(0.01));
}

TEST_CASE("halves on an even tissue and on layers") {
  CHECK(pad_impedance(on_even_tissue(1000), 0)->real() == Approx(30.977).epsilon(1e-3));
  CHECK(pad_impedance(on_even_tissue(100), 0)->real() == Approx(36.9118).epsilon(1e-3));
  CHECK(pad_impedance(on_even_tissue(0), 0)->real() == Approx(29.910).epsilon(1e-3));
  const std::complex<double> layered = *pad_impedance(on_layers(100), 0);
  CHECK(std::abs(layered - std::complex<double>(70.160, -14.495)) < 1e-3 * std::abs(layered));
}

TEST_CASE("a peel along and one across are read as a finer computation has them") {
  SplitPad pad = on_layers(1000);
  CHECK(std::abs(*pad_impedance(pad, 0.2)) == Approx(80.06).epsilon(1e-3));
  pad.peel = Peel::across;
  CHECK(std::abs(*pad_impedance(pad, 0.2)) == Approx(78.01).epsilon(1e-3));
  CHECK(std::abs(*pad_impedance(pad, 0.4)) == Approx(111.69).epsilon(1e-3));
  CHECK_FALSE(pad_impedance(pad, 0.5).has_value());
  pad.peel = Peel::touching;
  CHECK(std::abs(*pad_impedance(pad, 0)) == 0);
  pad.peel = Peel::one_off;
  CHECK_FALSE(pad_impedance(pad, 0).has_value());
}

TEST_CASE("the pieces of every peel cover what is left, and carry one ampere each way") {
  SplitPad pad = on_even_tissue(100);
  for (const auto& [peel, off] : {std::pair{Peel::along, 0.3}, std::pair{Peel::across, 0.3},
                                  std::pair{Peel::corner, 0.1}, std::pair{Peel::corner, 0.35}}) {
    pad.peel = peel;
    std::vector<PadPiece> pieces;
    REQUIRE(pad_impedance(pad, off, &pieces));
    double area = 0;
    std::complex<double> current[2] = {0, 0};
    for (const PadPiece& piece : pieces) {
      const double own = (piece.x1 - piece.x0) * (piece.y1 - piece.y0);
      area += own;
      current[piece.half] += own * piece.current_density;
    }
    CAPTURE(static_cast<int>(peel), off);
    CHECK(area == Approx(2 * 0.05 * 0.1 * (1 - off)).epsilon(peel == Peel::corner ? 0.01 : 1e-9));
    CHECK(std::abs(current[0] - 1.0) < 1e-9);
    CHECK(std::abs(current[1] + 1.0) < 1e-9);
  }
}

TEST_CASE("a lossless contact adds its reactance and no loss of its own") {
  SplitPad pad = on_even_tissue(0);
  pad.contact_capacitance = 1e-12;  // so little that it alone matters
  const std::complex<double> z = *pad_impedance(pad, 0);
  const double reactance = 2 / (2 * pi * pad.monitor * pad.contact_capacitance * pad.half[0] * pad.half[1]);
  CHECK(z.imag() == Approx(-reactance).epsilon(1e-4));
  CHECK(z.real() > 0);
  CHECK(z.real() < 1e-3 * reactance);
}

TEST_CASE("the alarm says at which share and why") {
  SplitPad pad;
  pad.peeled = {0, 0.1, 0.2};
  PadReadings readings;
  readings.impedance = {60.0, 70.0, 90.0};
  find_readings(pad, readings);  // 1.3 x 60 = 78 lies two fifths of the way from 70 to 90
  CHECK(readings.alarm == "rise");
  CHECK(*readings.alarm_at == Approx(0.14));
  pad.rise = 10;
  pad.high = 80;
  find_readings(pad, readings);
  CHECK(readings.alarm == "high");
  CHECK(*readings.alarm_at == Approx(0.15));
  readings.impedance = {60.0, 70.0, std::nullopt};
  find_readings(pad, readings);
  CHECK(readings.alarm == "open");
  CHECK(*readings.alarm_at == 0.2);
  readings.impedance = {0.5, 0.5, 0.5};
  find_readings(pad, readings);
  CHECK(readings.alarm == "low");
  pad.accepts_single = true;
  find_readings(pad, readings);
  CHECK_FALSE(readings.alarm_at);
}
