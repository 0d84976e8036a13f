#include "physics/cole_cole.hpp"

#include <cassert>
#include <cmath>
#include <complex>
#include <numbers>

namespace dryfront {

namespace {

constexpr double vacuum_permittivity = 8.8541878128e-12;  // [F/m], CODATA 2018

constexpr double ps = 1e-12, ns = 1e-9, us = 1e-6, ms = 1e-3;

constexpr std::array tissues{
    ColeColeTissue{"blood",
                   4,
                   {{{56, 8.377 * ps, 0.1}, {5200, 132.629 * ns, 0.1}, {0, 159.155 * us, 0.2}, {0, 15.915 * ms, 0}}},
                   0.7},
    ColeColeTissue{
        "fat",
        2.5,
        {{{9, 7.958 * ps, 0.2}, {35, 15.915 * ns, 0.1}, {3.3e4, 159.155 * us, 0.05}, {1e7, 15.915 * ms, 0.01}}},
        0.035},
    ColeColeTissue{
        "heart",
        4,
        {{{50, 7.958 * ps, 0.1}, {1200, 159.155 * ns, 0.05}, {4.5e5, 72.343 * us, 0.22}, {2.5e7, 4.547 * ms, 0}}},
        0.05},
    ColeColeTissue{
        "kidney",
        4,
        {{{47, 7.958 * ps, 0.1}, {3500, 198.944 * ns, 0.22}, {2.5e5, 79.577 * us, 0.22}, {3e7, 4.547 * ms, 0}}},
        0.05},
    ColeColeTissue{
        "liver",
        4,
        {{{39, 8.842 * ps, 0.1}, {6000, 530.516 * ns, 0.2}, {5e4, 22.736 * us, 0.2}, {3e7, 15.915 * ms, 0.05}}},
        0.02},
    ColeColeTissue{
        "muscle",
        4,
        {{{50, 7.234 * ps, 0.1}, {7000, 353.678 * ns, 0.1}, {1.2e6, 318.31 * us, 0.1}, {2.5e7, 2.274 * ms, 0}}},
        0.2},
    ColeColeTissue{"skin_dry",
                   4,
                   {{{32, 7.234 * ps, 0}, {1100, 32.481 * ns, 0.2}, {0, 159.155 * us, 0.2}, {0, 15.915 * ms, 0.2}}},
                   0},
    ColeColeTissue{"skin_wet",
                   4,
                   {{{39, 7.958 * ps, 0.1}, {280, 79.577 * ns, 0}, {3e4, 1.592 * us, 0.16}, {3e4, 1.592 * ms, 0.2}}},
                   0},
};

}  // namespace

std::span<const ColeColeTissue> cole_cole_tissues() { return tissues; }

Dielectric dielectric_at(const ColeColeTissue& tissue, double frequency) {
  assert(frequency > 0);
  using Complex = std::complex<double>;
  const double omega = 2 * std::numbers::pi * frequency;
  Complex relative = tissue.at_high_frequency;
  for (const Dispersion& term : tissue.terms) {
    if (term.step == 0) continue;
    relative += term.step / (1.0 + std::pow(Complex(0, omega * term.relaxation), 1 - term.spread));
  }
  relative += tissue.ionic / Complex(0, omega * vacuum_permittivity);
  Dielectric found;
  found.conductivity = -omega * vacuum_permittivity * relative.imag();
  found.permittivity = relative.real();
  found.loss_angle = omega * vacuum_permittivity * found.permittivity / found.conductivity;
  return found;
}

}  // namespace dryfront
