// The contact layer: conductance, asperities, sparks, eschar, breakdown of dried tissue, and the source behind it.
#include <cmath>
#include <limits>
#include <numbers>

#include "studies/verification/electric_setup.hpp"
#include "studies/verification/exact_solutions.hpp"
#include "studies/verification/setup.hpp"
#include "studies/verification/verification.hpp"

namespace dryfront {
namespace {

using std::numbers::pi;

constexpr double everywhere = std::numeric_limits<double>::infinity();
constexpr double a = 0.001;    // disc [m]
constexpr double sigma = 0.5;  // [S/m]
constexpr auto uniform = [](double) { return sigma; };

Finding biot_finding(const std::string& quantity, int members, double exact,
                     const std::function<double(int)>& resistance) {
  std::vector<double> errors;
  double finest = 0;
  for (int level = 0; level < members; ++level) {
    finest = resistance(level);
    errors.push_back(std::abs(finest / exact - 1));
  }
  // Between perfect contact and none the edge's singularity weakens, and the order with it changes.
  return with_order(finding(quantity, exact, finest, 1e-3), observed_order(errors), 1.8, 2.5);
}

std::vector<Finding> conductance_on_half_space(Effort effort) {
  struct Row {
    double biot, resistance;
  };
  const Row rows[] = {
      {0.1, 6905.969985764389}, {1, 1171.839187641914}, {10, 582.2944122202902}, {100, 511.1536144842478}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    findings.push_back(biot_finding("g a/sigma = " + std::to_string(row.biot).substr(0, 5) + " [ohm]",
                                    effort == Effort::quick ? 4 : 5, row.resistance, [&](int level) {
                                      const Grid grid = disc_grid(a, 40 * a, 40 * a, {}, level);
                                      return conduct(grid, disc_contact(grid, a),
                                                     far_voltage(grid, FarVoltageKind::half_space,
                                                                 FarVoltageKind::half_space, 0, everywhere),
                                                     uniform, row.biot * sigma / a)
                                          .result.resistance;
                                    }));
  }
  return findings;
}

std::vector<Finding> conductance_on_cylinder(Effort effort) {
  struct Row {
    double biot, resistance;
  };
  const Row rows[] = {
      {0.1, 6849.899039227255}, {1, 1115.864118852712}, {10, 526.6551363112934}, {100, 455.7676305026828}};
  std::vector<Finding> findings;
  for (const Row& row : rows) {
    findings.push_back(biot_finding("g a/sigma = " + std::to_string(row.biot).substr(0, 5) + " [ohm]",
                                    effort == Effort::quick ? 4 : 5, row.resistance, [&](int level) {
                                      const Grid grid = disc_grid(a, 0.004, 0.003, {}, level);
                                      return conduct(grid, disc_contact(grid, a),
                                                     far_voltage(grid, FarVoltageKind::insulated,
                                                                 FarVoltageKind::grounded, 0, everywhere),
                                                     uniform, row.biot * sigma / a)
                                          .result.resistance;
                                    }));
  }
  // The same through the law of spots, their pitch such that g_0 + leak = 500 S/m2.
  Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), 0.004, 0.003, 20);
  c.electrode.radius = a;
  c.electrode.contact = ContactKind::spots;
  c.electrode.contact_fraction = 0.5;
  c.electrode.spot_pitch = sigma * spots_conductance(0.5, 1) / (500 - c.physics.leak_conductance);
  const LoadAtStart load = load_at_start(c, disc_grid(a, 0.004, 0.003, {}, 2), 0);
  findings.push_back(finding("spots contact of 500 S/m2 in a case [ohm]", rows[1].resistance, load.resistance, 1e-3));
  findings.push_back(finding("its power at 20 V [W]", 400 / rows[1].resistance, load.power, 1e-3));
  return findings;
}

// A full-face electrode on a slab: one dimension, so that the operating point is the root of one equation.
constexpr double slab = 0.003;    // [m]
constexpr double radius = 0.004;  // [m]

Grid slab_grid(int rows) { return Grid(equal_faces(radius, 3), equal_faces(slab, rows)); }

// A disc in a long insulated cylinder, the flux tube of one spot: its load is that of the cylinder and psi/(4 sigma a).
std::vector<Finding> constriction(Effort effort) {
  std::vector<Finding> findings;
  for (const double eps : {0.1, 0.3, 0.5, 0.7071, 0.8}) {
    const double b = a / eps, length = 4 * b;
    const Grid grid = disc_grid(a, b, length, {}, effort == Effort::quick ? 2 : 3);
    const double load =
        conduct(grid, disc_contact(grid, a),
                far_voltage(grid, FarVoltageKind::insulated, FarVoltageKind::grounded, 0, everywhere), uniform)
            .result.resistance;
    const double psi = 4 * sigma * a * (load - length / (sigma * pi * b * b));
    const std::string at = "psi at spot over tube " + std::to_string(eps).substr(0, 6);
    findings.push_back(finding(at + ", solver against the law", constriction_factor(eps), psi, 5e-3));
    const double e3 = eps * eps * eps;
    const double published = 1 - 1.40978 * eps + e3 * (0.34406 + eps * eps * (0.0435 + eps * eps * 0.02271));
    findings.push_back(
        finding(at + ", law against the published polynomial", published, constriction_factor(eps), 5e-3));
  }
  return findings;
}

// A face that covers a cylinder: the law of spots and the cylinder in series.
std::vector<Finding> spots_on_cylinder(Effort) {
  std::vector<Finding> findings;
  for (const double share : {0.1, 0.55, 1.0}) {
    Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), radius, slab, 20);
    c.electrode.contact = ContactKind::spots;
    c.electrode.contact_fraction = share;
    c.electrode.spot_pitch = 0.3e-3;
    const double eps = std::sqrt(share);
    const double psi =
        1 - 1.40978 * eps + 0.34406 * std::pow(eps, 3) + 0.0435 * std::pow(eps, 5) + 0.02271 * std::pow(eps, 7);
    // A face that touches everywhere is a distance of 1 um away.
    const double conductance =
        share < 1 ? sigma * 4 * eps / (std::sqrt(pi) * 0.3e-3 * psi) + c.physics.leak_conductance : sigma / 1e-6;
    const double exact = (1 / conductance + slab / sigma) / (pi * radius * radius);
    findings.push_back(finding("touching share " + std::to_string(share).substr(0, 4) + ", load [ohm]", exact,
                               load_at_start(c, slab_grid(30), 0).resistance, 2e-3));
  }
  return findings;
}

// Half of the water gone: half of the spots carry current, each as before, and below them the tissue's own saturation
// law holds.
std::vector<Finding> drying_spots(Effort) {
  constexpr double share = 0.1, pitch = 0.3e-3, water = 0.5;
  Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), radius, slab, 20);
  c.electrode.contact = ContactKind::spots;
  c.electrode.contact_fraction = share;
  c.electrode.spot_pitch = pitch;
  const double eps = std::sqrt(share);
  const double psi =
      1 - 1.40978 * eps + 0.34406 * std::pow(eps, 3) + 0.0435 * std::pow(eps, 5) + 0.02271 * std::pow(eps, 7);
  const double wet_conductance = sigma * 4 * eps / (std::sqrt(pi) * pitch * psi);
  Bench bench(c, slab_grid(30));
  State state = bench.stepper().initial_state();
  const double area = pi * radius * radius;
  std::vector<Finding> findings;
  for (const double left : {1.0, water}) {
    std::fill(state.fields.water.begin(), state.fields.water.end(), left);
    if (bench.stepper().switch_current(state, true).what != nullptr) throw NumericalFailure("charge did not converge");
    const double slab_alone = slab / (sigma * left * left * area);
    findings.push_back(finding("load above the slab's own, water " + std::to_string(left).substr(0, 3) + " [ohm]",
                               1 / ((left * wet_conductance + c.physics.leak_conductance) * area),
                               state.electric.resistance - slab_alone, 1e-4));
  }
  return findings;
}

// Share of the mean square while an arc conducts, one amplitude.
double sine_fraction(double x) { return x >= 1 ? 0 : 1 - std::asin(x) / pi + x * std::sqrt(1 - x * x) / pi; }

double spread_fraction(double x, double spread) {
  const double low = x * (1 - spread);
  const double high = std::min(1.0, x * (1 + spread));
  if (low >= 1) return 0;
  // The substitution x = sin u takes the root out of the integrand.
  return integral_of([](double u) { return sine_fraction(std::sin(u)) * std::cos(u); }, std::asin(low), std::asin(high),
                     8) /
         (2 * spread * x);
}

Case slab_case(double rms) {
  Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), radius, slab, rms);
  c.electrode.contact = ContactKind::spots;
  c.electrode.contact_fraction = 0.1;
  c.electrode.spot_pitch = 12.5e-3;
  c.physics.arcing = true;
  c.physics.spark_conductance = 60;
  return c;
}

std::vector<Finding> sparking_slab(Effort) {
  std::vector<Finding> findings;
  const double area = pi * radius * radius;
  for (const double rms : {250.0, 120.0}) {
    Case c = slab_case(rms);
    const double base = sigma * spots_conductance(0.1, 12.5e-3) + c.physics.leak_conductance;
    const double spark = 0.9 * c.physics.spark_conductance;
    const auto conductance = [&](double gap) {
      return base + spark * spread_fraction(c.physics.strike / (std::numbers::sqrt2 * gap), c.physics.strike_spread);
    };
    const double gap = root_between([&](double v) { return v + conductance(v) * v * slab / sigma - rms; }, 1, rms);
    const double density = conductance(gap) * gap;
    const LoadAtStart load = load_at_start(c, slab_grid(30), 0);
    const std::string at = std::to_string(static_cast<int>(rms)) + " V rms";
    findings.push_back(
        finding("sparking contact on a slab, load at " + at + " [ohm]", rms / (density * area), load.resistance, 1e-4));
    findings.push_back(finding("share of the current through sparks at " + at, 1 - base / conductance(gap),
                               load.arcing_share, 1e-4, 1));
  }

  // Breakdown of dried tissue: a uniform field, so that the law shows bare.
  Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), radius, slab, 2400);
  c.physics.breakdown = true;
  Bench bench(c, slab_grid(30));
  State state = bench.stepper().initial_state();
  const double water = 0.02;
  std::fill(state.fields.water.begin(), state.fields.water.end(), water);
  if (bench.stepper().switch_current(state, true).what != nullptr) throw NumericalFailure("charge did not converge");
  const double field = 2400 / slab;
  const double struck =
      spread_fraction(c.physics.breakdown_field / (std::numbers::sqrt2 * field), c.physics.strike_spread);
  const double conducting = std::max(water * water, c.specimen.layers[0].tissue.conductivity_floor) * sigma +
                            struck * c.physics.arc_conductivity * (1 - water) * (1 - water);
  findings.push_back(finding("dried slab in breakdown, load at 2400 V rms [ohm]", slab / (conducting * area),
                             state.electric.resistance, 1e-4));
  return findings;
}

std::vector<Finding> eschar_growth(Effort) {
  Case c = slab_case(600);
  c.electrode.contact = ContactKind::gap;
  c.electrode.gap = 1e-5;
  c.physics.strike = 400;
  c.physics.eschar = true;
  Bench bench(c, slab_grid(10));
  State state = bench.start(true);
  const double spark_power = state.electric.spark_power[0] / bench.grid().axial_area(0);
  const Tissue& tissue = c.specimen.layers[0].tissue;
  const double heat = tissue.density * tissue.water_fraction * tissue.latent * c.physics.eschar_thickness;
  const double until = 0.8 * heat / (c.physics.spark_heat_share * spark_power);
  bench.march(state, until, 7);
  const double gap = root_between(
      [&](double v) {
        const double g = c.physics.leak_conductance +
                         c.physics.spark_conductance *
                             spread_fraction(c.physics.strike / (std::numbers::sqrt2 * v), c.physics.strike_spread);
        return v + g * v * slab / sigma - 600;
      },
      1, 600);
  const double sparks = c.physics.spark_conductance *
                        spread_fraction(c.physics.strike / (std::numbers::sqrt2 * gap), c.physics.strike_spread);
  return {finding("spark power of a steady gap [W/m2]", sparks * gap * gap, spark_power, 1e-4),
          finding("eschar coverage after 0.8 of its time", 1 - std::exp(-0.8), state.fields.eschar[0], 1e-6)};
}

// A slab under a face that covers it is a resistor; the roots' resistance is in series with it, the drop against it.
std::vector<Finding> channels_on_slab(Effort) {
  std::vector<Finding> findings;
  constexpr double peak = 900, drop = 80, channels = 3, density = 1e7;
  for (const double duty : {1.0, 0.06}) {
    Case c = slab_case(peak * std::sqrt(duty / 2));
    if (duty < 1) c.modes[0].waveform.kind = WaveformKind::gated;
    c.modes[0].waveform.duty = duty;
    c.electrode.contact = ContactKind::gap;
    c.electrode.gap = 1e-5;
    c.physics.strike = 400;
    c.physics.strike_spread = 0;
    c.physics.leak_conductance = 1e-9;
    c.physics.spark_law = SparkLaw::channels;
    c.physics.spark_channels = channels;
    c.physics.spark_drop = drop;
    c.physics.spark_density = density;
    Bench bench(c, slab_grid(10));
    const ElectricState electric = bench.start(true).electric;
    const double tissue = slab / (sigma * pi * radius * radius);
    const auto root = [&](double at_radius) { return 1 / (4 * channels * sigma * at_radius); };
    const double at = root_between(
        [&](double x) { return (peak - drop) / (tissue + root(x)) - channels * pi * x * x * density; }, 1e-7, 1e-2);
    const double all = tissue + root(at);
    const double in = std::asin(400 / peak), out = pi - std::asin(drop / peak);
    const double one = out - in, sine = std::cos(in) - std::cos(out);
    const double square = 0.5 * (one - 0.5 * (std::sin(2 * out) - std::sin(2 * in)));
    const double mean_square =
        duty / pi * (peak * peak * square - 2 * peak * drop * sine + drop * drop * one) / (all * all);
    const double drops = duty / pi * drop * (peak * sine - drop * one) / all;
    double spark = 0, roots = 0;
    for (const double power : electric.spark_power) spark += power;
    for (const double power : electric.root_power) roots += power;
    const std::string with = duty < 1 ? ", duty 6 %" : ", continuous";
    findings.push_back(finding("power in the slab" + with + " [W]", mean_square * tissue, electric.volume_power, 1e-8));
    findings.push_back(finding("power in the drop" + with + " [W]", drops, spark, 1e-8));
    findings.push_back(finding("power at the roots" + with + " [W]", mean_square * root(at), roots, 1e-8));
    findings.push_back(finding("rms current" + with + " [A]", std::sqrt(mean_square),
                               std::sqrt(electric.volume_power / tissue), 1e-8));
    findings.push_back(finding("voltage times current of the face" + with + " [W]",
                               electric.volume_power + electric.surface_power + electric.beyond_power,
                               electric.rms * electric.inflow, 1e-8));
  }
  return findings;
}

std::vector<Finding> source_on_slab(Effort) {
  const double load = slab / (sigma * pi * radius * radius);
  std::vector<Finding> findings;
  const auto power = [&](Source source, double duty) {
    Case c = plain_case(constant_tissue(sigma, 0.5, 3.78e6), radius, slab, 1);
    c.modes[0].source = source;
    if (duty < 1) {
      c.modes[0].waveform.kind = WaveformKind::gated;
      c.modes[0].waveform.duty = duty;
    }
    return load_at_start(c, slab_grid(10), 0).power;
  };
  Source source;
  source.kind = SourceKind::unregulated;
  source.setting = 60;
  source.rated_load = 500;
  findings.push_back(finding("unregulated source of 60 W rated for 500 ohm, power into the slab [W]",
                             60 * 4 * load * 500 / ((load + 500) * (load + 500)), power(source, 0.06), 1e-8));
  source.kind = SourceKind::constant_power;
  findings.push_back(finding("constant-power source of 60 W [W]", 60, power(source, 1), 1e-8));
  source.current_limit = 0.5;
  findings.push_back(finding("the same behind 0.5 A rms [W]", 0.25 * load, power(source, 1), 1e-8));
  source.current_limit = 0;
  source.peak_limit = 100;
  findings.push_back(
      finding("the same behind 100 V peak, duty 6 % [W]", 1e4 * 0.06 / 2 / load, power(source, 0.06), 1e-8));
  return findings;
}

}  // namespace

std::vector<VerificationCheck> contact_checks() {
  return {
      {"E6", "Disc with contact conductance on a half-space",
       "J. Newman, J. Electrochem. Soc. 113 (1966) 1235 (from memory); numbers computed for this check by an "
       "independent "
       "program",
       conductance_on_half_space},
      {"E6b", "Disc with contact conductance on a finite cylinder",
       "Zernike-Galerkin series; numbers computed for this check by an independent program", conductance_on_cylinder},
      {"E6c", "Constriction of the current to a spot",
       "isothermal spot in a flux tube, computed by the solver itself; polynomial of Negus and Yovanovich 1984 (from "
       "memory)",
       constriction},
      {"E6d", "Law of spots on a face that covers a cylinder", "series circuit (own), polynomial as in E6c",
       spots_on_cylinder},
      {"E6e", "Spots that dry", "series circuit (own), polynomial as in E6c", drying_spots},
      {"K1", "Sparking contact and breakdown in one dimension",
       "series circuit solved as one equation; striking function as in W3 (own derivation)", sparking_slab},
      {"K2", "Growth of eschar under a steady spark", "dc/dt = (1 - c) eta q_s/H_c integrated (own)", eschar_growth},
      {"K1b", "Spark channels behind a resistor",
       "sine source, resistor and drop: i = (V_p sin - V_d)/R from the strike to the drop, three integrals (own)",
       channels_on_slab},
      {"K3", "Source on a known load", "elementary circuit", source_on_slab}};
}

}  // namespace dryfront
