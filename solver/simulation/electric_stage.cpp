#include "simulation/electric_stage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dryfront {

namespace {

constexpr double vanishing_power = 1e-12;  // [W]

FarVoltageKind far_kind(FarVoltage kind) {
  switch (kind) {
    case FarVoltage::half_space:
      return FarVoltageKind::half_space;
    case FarVoltage::insulated:
      return FarVoltageKind::insulated;
    case FarVoltage::grounded:
    case FarVoltage::pad:
      break;
  }
  return FarVoltageKind::grounded;
}

FarVoltageCells far_voltage_of(const Specimen& specimen, const Grid& grid) {
  const bool pad = specimen.bottom_voltage == FarVoltage::pad;
  return far_voltage(grid, far_kind(specimen.side_voltage), far_kind(specimen.bottom_voltage),
                     pad ? specimen.pad_inner_radius : 0.0,
                     pad ? specimen.pad_radius : std::numeric_limits<double>::infinity());
}

}  // namespace

ElectricStage::ElectricStage(const Domain& domain, const Mode& mode)
    : domain_(domain),
      crest_factor_(crest_factor(mode.waveform)),
      striking_crest_factor_(crest_factor(mode.striking_waveform.value_or(mode.waveform))),
      breakdown_crest_factor_(crest_factor(mode.breakdown_waveform.value_or(mode.waveform))),
      striking_(mode.striking_waveform.value_or(mode.waveform), domain.physics.strike_spread),
      source_(mode.source),
      solver_(domain.grid, domain.contact, far_voltage_of(domain.specimen, domain.grid)),
      conductivity_(domain.cells(), 0.0),
      breakdown_(domain.cells(), 0.0),
      contact_laws_(domain.contact.faces.size()),
      wet_(domain.contact.faces.size(), 0.0),
      struck_(mode.striking_waveform.value_or(mode.waveform), domain.physics.strike_spread) {
  const Physics& physics = domain.physics;
  gap_.waveform = &struck_;
  gap_.crest_factor = striking_crest_factor_;
  gap_.strike = strike_voltage(domain.electrode, physics);
  gap_.drop = spark_drop(physics, gap_.strike);
  gap_.channels = physics.spark_channels;
  gap_.current_density = physics.spark_density;
  rim_.electrode = &domain.electrode;
  rim_.least_strike = physics.strike;
  rim_.strike_spread = physics.strike_spread;
  rim_.drop = physics.spark_drop;
  rim_.width = domain.electrode.interface_depth;
  probe_source_.kind = SourceKind::voltage;
  probe_source_.rms = 1e-6;
}

void ElectricStage::find_conductivities(const Fields& fields) {
  const Physics& physics = domain_.physics;
  for (std::size_t c = 0; c < conductivity_.size(); ++c) {
    const Tissue& tissue = domain_.tissue(c);
    const double water = std::clamp(fields.water[c], 0.0, 1.0);
    double sigma = conductivity(tissue, fields.temperature[c], water, physics.conductivity_rises);
    if (tissue.coagulation_rise != 0) {
      const double omega = has_coagulation_pair(tissue) ? fields.coagulation[c] : fields.omega[0][c];
      sigma *= 1 - tissue.coagulation_rise * std::expm1(-omega);
    }
    conductivity_[c] = sigma;
    breakdown_[c] = physics.arc_conductivity * (1 - water) * (1 - water);
  }
}

void ElectricStage::find_contact(const Fields& fields) {
  contact_laws(domain_.contact, domain_.electrode, domain_.physics, domain_.rows, fields.temperature, fields.water,
               fields.eschar, contact_laws_);
}

bool ElectricStage::has_channels() const {
  const ContactKind contact = domain_.electrode.contact;
  return domain_.physics.arcing && domain_.physics.spark_law == SparkLaw::channels &&
         (contact == ContactKind::spots || contact == ContactKind::gap);
}

bool ElectricStage::has_rim_gap() const {
  return domain_.physics.rim_arcing && has_channels() && domain_.electrode.contact == ContactKind::spots;
}

// Volume heating stays where it arises; the wet contact's goes to where the current narrows to it, the sparks' by their
// share into the interface, that of channels' roots into the depth of their radius.
void ElectricStage::spread_heat(State& state) const {
  const ElectricState& electric = state.electric;
  const ContactGeometry& contact = domain_.contact;
  const double into_tissue_share = domain_.physics.spark_heat_share;
  const auto into = [&](const ContactFace::Range& range, double power) {
    for (std::size_t k = range.begin; k < range.end; ++k) {
      state.heat_source[contact.below[k].cell] += contact.below[k].share * power;
    }
  };
  std::copy(electric.heating.begin(), electric.heating.end(), state.heat_source.begin());
  state.spark_loss = 0;
  for (std::size_t f = 0; f < contact.faces.size(); ++f) {
    const ContactFace& face = contact.faces[f];
    into(face.constriction, electric.contact_power[f]);
    into(face.interface, into_tissue_share * electric.spark_power[f]);
    if (electric.root_power[f] > 0) {
      add_below(domain_.grid, face, electric.root_radius, electric.root_power[f], state.heat_source);
    }
    state.spark_loss += (1 - into_tissue_share) * electric.spark_power[f];
  }
  for (std::size_t k = 0; k < electric.rim_spark.size(); ++k) {
    if (electric.rim_spark[k] + electric.rim_root[k] <= 0) continue;
    const ContactFace& face = contact.free_surface[k].face;
    into(face.interface, into_tissue_share * electric.rim_spark[k]);
    add_below(domain_.grid, face, electric.root_radius, electric.rim_root[k], state.heat_source);
    state.spark_loss += (1 - into_tissue_share) * electric.rim_spark[k];
  }
}

SolveFailure ElectricStage::solve(const Fields& fields, std::optional<double> demand, State& state) {
  find_conductivities(fields);
  find_contact(fields);
  ElectricInput input;
  input.conductivity = conductivity_;
  if (domain_.physics.breakdown && state.current_on) input.breakdown = breakdown_;
  input.breakdown_threshold = domain_.physics.breakdown_field / breakdown_crest_factor_;
  if (domain_.electrode.contact != ContactKind::perfect) input.contact = contact_laws_;
  input.strike_threshold = strike_voltage(domain_.electrode, domain_.physics) / striking_crest_factor_;
  input.striking = &striking_;
  if (has_channels()) {
    spark_landing(domain_.contact, domain_.electrode, domain_.physics, contact_laws_, conductivity_, input.breakdown,
                  striking_, gap_);
    input.sparks = &gap_;
    if (has_rim_gap()) {
      find_roots(domain_.contact, domain_.physics, conductivity_, input.breakdown, striking_, rim_);
      rim_.temperature = fields.temperature;
      input.rim = &rim_;
    }
  }
  // As without the current, the load is found by something that vanishes.
  if (demand) source_.setting = std::max(*demand, vanishing_power);
  input.source = state.current_on ? &source_ : &probe_source_;
  input.crest_factor = crest_factor_;
  solver_.solve(input, state.electric);
  if (state.current_on) {
    spread_heat(state);
  } else {
    std::fill(state.heat_source.begin(), state.heat_source.end(), 0.0);
    state.spark_loss = 0;
  }
  if (state.electric.converged) return {};
  return {"charge", "relative change of the conductances", state.electric.residual};
}

double ElectricStage::wet_share(const Fields& fields) {
  find_contact(fields);
  for (std::size_t f = 0; f < wet_.size(); ++f) wet_[f] = contact_laws_[f].wet;
  return contact_mean(domain_.contact, wet_);
}

}  // namespace dryfront
