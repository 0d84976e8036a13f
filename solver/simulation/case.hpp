// Everything a simulation needs to know, already in SI. Filled by the case reader, or by hand in tests.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "numerics/enumeration.hpp"
#include "numerics/grid.hpp"
#include "physics/circuit.hpp"
#include "physics/contact_parameters.hpp"
#include "physics/source.hpp"
#include "physics/split_pad.hpp"
#include "physics/tissue.hpp"
#include "physics/waveform.hpp"

namespace dryfront {

enum class FarVoltage { half_space, grounded, insulated, pad };
constexpr auto enumerators(FarVoltage) {
  return enumeration<FarVoltage>({{FarVoltage::half_space, "half_space"},
                                  {FarVoltage::grounded, "grounded"},
                                  {FarVoltage::insulated, "insulated"},
                                  {FarVoltage::pad, "pad"}});
}

enum class FarHeat { held, insulated };
constexpr auto enumerators(FarHeat) {
  return enumeration<FarHeat>({{FarHeat::held, "held"}, {FarHeat::insulated, "insulated"}});
}

struct Layer {
  Tissue tissue;
  double thickness = 0;  // [m]; the last layer reaches to the bottom
};

struct Specimen {
  std::vector<Layer> layers;  // from the surface down, at least one
  Symmetry symmetry = Symmetry::axis;
  double length = 0;              // along the plane of symmetry [m]
  double radius = 0.04;           // R, or the half width beside a plane [m]
  double depth = 0.04;            // H [m]
  double start = 22;              // [C]
  double surroundings = 22;       // [C]
  double air_heat_transfer = 10;  // convection at the free surface [W/(m2 K)]
  FarVoltage side_voltage = FarVoltage::half_space;
  FarVoltage bottom_voltage = FarVoltage::half_space;  // pad is allowed here only
  double pad_radius = 0;                               // [m]
  double pad_inner_radius = 0;                         // [m]
  FarHeat side_heat = FarHeat::held;
  FarHeat bottom_heat = FarHeat::held;
};

struct Mode {
  std::string name;
  std::string label;       // for people; label_of() where it is empty
  double activation = 10;  // current on [s]
  double after = 0;        // watching time with the current off [s]
  Waveform waveform;
  Source source;
  // By which gaps strike and dried tissue breaks down, where that is not `waveform`: set in mixtures of two modes only.
  std::optional<Waveform> striking_waveform{}, breakdown_waveform{};

  bool operator==(const Mode&) const = default;
};

// The label of a mode, or where none is given its name with blanks.
std::string label_of(const Mode& mode);

// An Arrhenius pair: dOmega/dt = A exp(-E/(R_g T_K)), counted only at and above `floor`.
struct DamagePair {
  std::string name;
  double frequency = 0;  // A [1/s]
  double energy = 0;     // E [J/mol]
  double floor = 43;     // [C]
  std::string source;
};

enum class EffectKind { damage, temperature, dry, peak_temperature, cem43 };
constexpr auto enumerators(EffectKind) {
  return enumeration<EffectKind>({{EffectKind::damage, "damage"},
                                  {EffectKind::temperature, "temperature"},
                                  {EffectKind::dry, "dry"},
                                  {EffectKind::peak_temperature, "peak_temperature"},
                                  {EffectKind::cem43, "cem43"}});
}

struct Effect {
  std::string name;
  EffectKind of = EffectKind::damage;
  int pair = 0;   // damage: index into Case::damage
  double at = 1;  // Omega, C, water left, C, or minutes
};

struct Probe {
  std::string name;
  double r = 0;  // [m]
  double z = 0;  // [m]
};

struct TimeSettings {
  double tolerance = 1;   // allowed error of a step's prediction [K]
  double longest = 0.25;  // longest step [s]
};

// What a frame can hold; the words are the names of the run file's datasets.
enum class Field { temperature, water_fraction, omega, cem43, peak_temperature, heating, potential, conductivity };
constexpr auto enumerators(Field) {
  return enumeration<Field>({{Field::temperature, "temperature_C"},
                             {Field::water_fraction, "water_fraction"},
                             {Field::omega, "omega"},  // one for each damage pair, omega_<pair>
                             {Field::cem43, "cem43_min"},
                             {Field::peak_temperature, "peak_temperature_C"},
                             {Field::heating, "heating_W_m3"},
                             {Field::potential, "potential_V"},
                             {Field::conductivity, "conductivity_S_m"}});
}

struct OutputSettings {
  int frames = 60;                  // per mode, equally spaced in time, besides the first
  std::vector<std::string> fields;  // names of fields; empty: all
};

// In which sense two modes are set equal before their depths are compared; the first one stays as it is.
enum class Basis {
  as_given,      // neither is changed
  same_setting,  // the second one's setting is that of the first
  mean_power,    // its setting such that the power, averaged over the activation, is that of the first
  energy,        // its activation such that the energy delivered is that of the first, the setting as it is
  dry_out        // its setting such that the contact dries out at the time of the first
};
constexpr auto enumerators(Basis) {
  return enumeration<Basis>({{Basis::as_given, "as_given"},
                             {Basis::same_setting, "same_setting"},
                             {Basis::mean_power, "mean_power"},
                             {Basis::energy, "energy"},
                             {Basis::dry_out, "dry_out"}});
}

struct ComparisonSettings {
  Basis basis = Basis::as_given;  // of the studies that set two modes against each other
};

struct Case {
  std::string title;
  std::string question;
  Specimen specimen;
  Electrode electrode;
  std::vector<Mode> modes;
  Physics physics;
  std::vector<DamagePair> damage;  // damage[0] is the pair that stops perfusion
  std::vector<Effect> effects;
  std::vector<Probe> probes;
  Grading grading;
  TimeSettings time;
  OutputSettings output;
  ComparisonSettings comparison;
  std::optional<Circuit> circuit{};  // of the stray current, beside what the simulation needs
  std::optional<SplitPad> pad{};     // a split return electrode, likewise
};

// The effects of a case that states none: coagulation (Omega = 1 of the first pair), desiccation (half of the water
// left) and char (200 C reached, assumed).
std::vector<Effect> default_effects();

// The names of all fields of a case, the word of each with one omega for every damage pair.
std::vector<std::string> field_names(const Case& c);

}  // namespace dryfront
