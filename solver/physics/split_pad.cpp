#include "physics/split_pad.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <string>
#include <tuple>

#include "numerics/dense.hpp"
#include "physics/surface_images.hpp"

namespace dryfront {

namespace {

using Complex = std::complex<double>;
using std::numbers::pi;

constexpr double vacuum_permittivity = 8.8541878128e-12;  // [F/m], CODATA 2018
constexpr double gone = 1e-9;                             // share of a half that counts as nothing

// From a to b, towards both ends as the third power: the current grows there as one over the root of the distance, or
// over the fraction of a millimetre in which a good contact takes it up.
std::vector<double> graded(double a, double b, int pieces) {
  std::vector<double> edges;
  for (int k = 0; k <= pieces; ++k) {
    const double u = 2.0 * k / pieces, share = u < 1 ? 0.5 * u * u * u : 1 - 0.5 * (2 - u) * (2 - u) * (2 - u);
    edges.push_back(a + (b - a) * share);
  }
  return edges;
}

// Even, so that a mirror in the middle cuts no piece.
int count_for(double length, double width, int fineness) {
  return 2 * std::max(2, static_cast<int>(std::lround(0.5 * fineness * std::sqrt(std::max(0.1, length / width)))));
}

// How far the outer edge of the half with the peeled corner lies from the gap at y; leg: of the triangle.
double outer_edge(double width, double leg, double y) { return width - std::clamp(leg - y, 0.0, width); }

// Leg of the triangle, cut by the half, of an area.
double leg_of_area(double width, double length, double area) {
  const auto cut = [&](double leg) {
    const double long_leg = std::max(0.0, leg - length), wide = std::max(0.0, leg - width);
    return 0.5 * (leg * leg - long_leg * long_leg - wide * wide);
  };
  double low = 0, high = width + length;
  for (int k = 0; k < 60; ++k) (cut(0.5 * (low + high)) < area ? low : high) = 0.5 * (low + high);
  return low;
}

// int int dx dy / sqrt(x^2 + y^2 + d^2) over the rectangle seen from the origin, in closed form.
double closed_form(double x0, double x1, double y0, double y1, double d) {
  const auto corner = [d](double x, double y) {
    const double r = std::sqrt(x * x + y * y + d * d);
    double value = 0;
    if (x != 0) value += x * std::log(y + r);
    if (y != 0) value += y * std::log(x + r);
    if (d > 0) value -= d * std::atan2(x * y, d * r);
    return value;
  };
  return corner(x1, y1) - corner(x0, y1) - corner(x1, y0) + corner(x0, y0);
}

// The same; far away by the expansion about its middle to second order.
double rectangle_integral(double x, double y, const PadPiece& piece, double d) {
  constexpr double far = 4;  // diagonals
  const double a = piece.x1 - piece.x0, b = piece.y1 - piece.y0;
  const double dx = 0.5 * (piece.x0 + piece.x1) - x, dy = 0.5 * (piece.y0 + piece.y1) - y;
  const double square = dx * dx + dy * dy + d * d;
  if (square > far * far * (a * a + b * b)) {
    const double quadrupole =
        (a * a * (3 * dx * dx - square) + b * b * (3 * dy * dy - square)) / (24 * square * square);
    return a * b / std::sqrt(square) * (1 + quadrupole);
  }
  return closed_form(piece.x0 - x, piece.x1 - x, piece.y0 - y, piece.y1 - y, d);
}

std::vector<ConductingLayer> conducting_layers(const SplitPad& pad) {
  std::vector<ConductingLayer> layers;
  for (const PadLayer& layer : pad.layers) {
    layers.push_back(
        {layer.thickness, {layer.conductivity, 2 * pi * pad.monitor * layer.permittivity * vacuum_permittivity}});
  }
  return layers;
}

// Resistance of the contact times area   [ohm m2]
Complex contact_resistance(const SplitPad& pad) {
  if (pad.contact > 0) return 1 / pad.contact;
  if (pad.contact_capacitance > 0) return 1.0 / Complex(0, 2 * pi * pad.monitor * pad.contact_capacitance);
  return 0;
}

double area(const PadPiece& piece) { return (piece.x1 - piece.x0) * (piece.y1 - piece.y0); }

// Voltage at the middle of every piece per current density of every piece, and of its image in y = mirror/2   [ohm m2]
DenseMatrix<Complex> moments(const std::vector<PadPiece>& pieces, std::optional<double> mirror,
                             const SurfaceImages& surface, Complex contact) {
  DenseMatrix<Complex> matrix(pieces.size(), pieces.size());
  for (std::size_t row = 0; row < pieces.size(); ++row) {
    const double x = 0.5 * (pieces[row].x0 + pieces[row].x1), y = 0.5 * (pieces[row].y0 + pieces[row].y1);
    for (std::size_t column = 0; column < pieces.size(); ++column) {
      Complex sum = 0;
      for (const SurfaceImage& image : surface.images) {
        double seen = rectangle_integral(x, y, pieces[column], image.depth);
        if (mirror) seen += rectangle_integral(x, *mirror - y, pieces[column], image.depth);
        sum += image.share * seen;
      }
      matrix(row, column) = sum / (2 * pi);
    }
    matrix(row, row) += contact;
  }
  return matrix;
}

bool has_half(const std::vector<PadPiece>& pieces, int half) {
  return std::any_of(pieces.begin(), pieces.end(), [half](const PadPiece& piece) { return piece.half == half; });
}

}  // namespace

std::vector<PadPiece> pad_pieces(const SplitPad& pad, double peeled, int fineness) {
  const double across = pad.half.at(0), along = pad.half.at(1), half_gap = 0.5 * pad.gap;
  std::vector<PadPiece> pieces;
  for (const int half : {0, 1}) {
    double width = across, length = along, leg = 0;
    if (pad.peel == Peel::along) length *= 1 - peeled;
    if (half == 1 && pad.peel == Peel::across) width *= 1 - 2 * peeled;
    if (half == 1 && pad.peel == Peel::corner) leg = leg_of_area(width, length, 2 * peeled * width * length);
    const bool off = half == 1 && (pad.peel == Peel::one_off || (pad.peel == Peel::corner && 2 * peeled >= 1 - gone));
    if (off || width <= gone * across || length <= gone * along) continue;
    const std::vector<double> y = graded(0, length, count_for(length, width, fineness));
    for (std::size_t k = 0; k + 1 < y.size(); ++k) {
      const double end = leg > 0 ? outer_edge(width, leg, 0.5 * (y[k] + y[k + 1])) : width;
      if (end <= gone * width) continue;
      const std::vector<double> x =
          graded(half_gap, half_gap + end, std::max(4, static_cast<int>(fineness * end / width)));
      for (std::size_t i = 0; i + 1 < x.size(); ++i) {
        if (half == 0) pieces.push_back({-x[i + 1], -x[i], y[k], y[k + 1], half, 0});
        if (half == 1) pieces.push_back({x[i], x[i + 1], y[k], y[k + 1], half, 0});
      }
    }
  }
  return pieces;
}

namespace {

// Of pieces of one fineness; `asked` gets all pieces with their current densities.
Complex impedance_of(const SplitPad& pad, double peeled, int fineness, const SurfaceImages& surface,
                     std::vector<PadPiece>* asked) {
  std::vector<PadPiece> pieces = pad_pieces(pad, peeled, fineness);
  // All but a corner leaves the halves symmetric about their middle: the lower part carries what the upper one does.
  std::optional<double> mirror;
  if (pad.peel != Peel::corner || peeled == 0) {
    mirror = pad.half[1] * (pad.peel == Peel::along ? 1 - peeled : 1.0);
    std::erase_if(pieces, [&](const PadPiece& piece) { return piece.y0 + piece.y1 > *mirror; });
  }
  DenseMatrix<Complex> halves(pieces.size(), 2);
  for (std::size_t k = 0; k < pieces.size(); ++k) halves(k, static_cast<std::size_t>(pieces[k].half)) = 1;
  const DenseMatrix<Complex> density = solve_dense(moments(pieces, mirror, surface, contact_resistance(pad)), halves);
  DenseMatrix<Complex> admittance(2, 2), one_ampere(2, 1);
  for (std::size_t k = 0; k < pieces.size(); ++k) {
    for (const std::size_t other : {0U, 1U}) {
      admittance(static_cast<std::size_t>(pieces[k].half), other) +=
          (mirror ? 2 : 1) * area(pieces[k]) * density(k, other);
    }
  }
  one_ampere(0, 0) = 1;
  one_ampere(1, 0) = -1;
  const DenseMatrix<Complex> voltage = solve_dense(admittance, one_ampere);
  if (asked == nullptr) return voltage(0, 0) - voltage(1, 0);
  for (std::size_t k = 0; k < pieces.size(); ++k) {
    PadPiece piece = pieces[k];
    piece.current_density = density(k, 0) * voltage(0, 0) + density(k, 1) * voltage(1, 0);
    asked->push_back(piece);
    if (!mirror) continue;
    std::tie(piece.y0, piece.y1) = std::pair(*mirror - piece.y1, *mirror - piece.y0);
    asked->push_back(piece);
  }
  return voltage(0, 0) - voltage(1, 0);
}

}  // namespace

std::optional<Complex> pad_impedance(const SplitPad& pad, double peeled, std::vector<PadPiece>* asked) {
  constexpr double fits = 1e-4;
  constexpr int coarse = 12, fine = 16;
  const std::vector<PadPiece> pieces = pad_pieces(pad, peeled, coarse);
  if (!has_half(pieces, 0) || !has_half(pieces, 1)) return std::nullopt;
  const SurfaceImages surface = surface_images(conducting_layers(pad));
  if (surface.residual > fits) {
    throw std::runtime_error("the images of the layers are off by " + std::to_string(surface.residual) +
                             " of the surface's kernel");
  }
  const Complex rough = impedance_of(pad, peeled, coarse, surface, nullptr);
  const Complex better = impedance_of(pad, peeled, fine, surface, asked);
  if (pad.peel == Peel::touching) return 0;
  constexpr double squares = 1.0 * fine * fine / (fine * fine - coarse * coarse);
  return rough + squares * (better - rough);
}

void find_readings(const SplitPad& pad, PadReadings& readings) {
  readings.reading.clear();
  for (const auto& found : readings.impedance) {
    readings.reading.push_back(found ? std::abs(*found) : std::numeric_limits<double>::infinity());
  }
  find_alarm(pad, readings);
}

void find_alarm(const SplitPad& pad, PadReadings& readings) {
  readings.alarm_at.reset();
  readings.alarm = {};
  const std::vector<double>&r = readings.reading, &at = pad.peeled;
  double lowest = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < r.size(); ++k) {
    // Where a limit is passed between the last share and this one.
    const auto passed = [&](double limit) {
      if (k == 0 || !std::isfinite(r[k]) || (r[k - 1] - limit) * (r[k] - limit) > 0) return at[k];
      return at[k - 1] + (at[k] - at[k - 1]) * (limit - r[k - 1]) / (r[k] - r[k - 1]);
    };
    const auto alarm = [&](std::string_view what, double share) {
      if (readings.alarm_at && *readings.alarm_at <= share) return;
      readings.alarm = what;
      readings.alarm_at = share;
    };
    if (!std::isfinite(r[k])) alarm("open", at[k]);
    if (r[k] < pad.low && !pad.accepts_single) alarm("low", passed(pad.low));
    if (std::isfinite(r[k]) && r[k] > pad.high) alarm("high", passed(pad.high));
    const double limit = (1 + pad.rise) * lowest;
    if (std::isfinite(r[k]) && r[k] > limit) alarm("rise", passed(limit));
    if (readings.alarm_at) return;
    lowest = std::min(lowest, r[k]);
  }
}

}  // namespace dryfront
