#include "simulation/vapour_flow.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

VapourFlow::VapourFlow(const Domain& domain)
    : domain_(domain),
      paths_(domain.grid),
      op_(domain.grid),
      opening_(domain.grid),
      offered_(domain.grid),
      flow_(domain.grid),
      wanted_(domain.grid),
      heat_(domain.grid),
      bounds_(domain.grid) {
  if (!on()) return;
  std::vector<double> tortuosity;
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    const Tissue& tissue = domain.tissue(c);
    capacity_.push_back(initial_water(tissue) * domain.volume[c]);
    gas_fraction_.push_back(tissue.gas_fraction);
    latent_.push_back(tissue.latent);
    boiling_point_.push_back(tissue.boiling_point);
    heat_of_water_.push_back((heat_capacity(tissue, 1.0) - heat_capacity(tissue, 0.0)) / initial_water(tissue));
    tortuosity.push_back(tissue.tortuosity);
  }
  dryfront::set_conductances(domain.grid, tortuosity, paths_);
  for (const std::size_t cell : domain.contact.metal) isolate(paths_, cell);
  for (auto* field : {&integral_, &carried_, &potential_, &before_, &most_, &gained_, &water_, &enthalpy_, &may_lose_,
                      &may_gain_, &returned_, &all_returned_}) {
    field->assign(domain.cells(), 0.0);
  }
}

template <typename Visit>
void VapourFlow::for_each_crossing(const FaceFlow& flow, Visit visit) const {
  const std::size_t columns = flow.columns;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (flow.east[c] > 0) visit(c, c + 1, flow.east[c]);
    if (flow.east[c] < 0) visit(c + 1, c, -flow.east[c]);
    if (flow.south[c] > 0) visit(c, c + columns, flow.south[c]);
    if (flow.south[c] < 0) visit(c + columns, c, -flow.south[c]);
  }
}

void VapourFlow::open(const State& now, const WaterFlow& flow, double dt, const std::vector<double>& temperature) {
  liquid_ = &flow;
  refused_ = 0;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    carried_[c] = heat_of_water_[c] * (temperature[c] - boiling_point_[c]);
  }
  std::fill(all_returned_.begin(), all_returned_.end(), 0.0);
  const std::size_t columns = offered_.columns;
  for (std::size_t c = 0; c < domain_.cells(); ++c) integral_[c] = diffusion_.integral(temperature[c]);
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (paths_.east[c] > 0) offered_.east[c] = paths_.east[c] * dt * (integral_[c] - integral_[c + 1]);
    if (paths_.south[c] > 0) offered_.south[c] = paths_.south[c] * dt * (integral_[c] - integral_[c + columns]);
  }
  foresee(now, dt);
  opening_.find(offered_, before_, most_, gas_fraction_, capacity_);
  set_conductances(temperature);
  sum_up();
}

// What the cells would hold without vapour, and what they can, by the rates of the last step.
void VapourFlow::foresee(const State& now, double dt) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    const double water = now.fields.water[c] + liquid_->water()[c];
    most_[c] = 1 + gas_fraction_[c];
    if (domain_.physics.bound_water) {
      const double end = now.fields.temperature[c] + dt * now.rates.temperature[c];
      if (end > BoundWater::no_loss_below) most_[c] = most_water(domain_, c, end);
      before_[c] = std::clamp(water, 0.0, most_[c]);
    } else {
      before_[c] = std::max(0.0, water - dt * now.rates.boil_off[c]);
    }
  }
}

void VapourFlow::set_conductances(const std::vector<double>& temperature) {
  const std::size_t columns = offered_.columns;
  const std::vector<double>&space = opening_.space(), &giving = opening_.giving();
  const auto open_share = [&](std::size_t here, std::size_t there, double offered) {
    return offered > 0 ? giving[here] * space[there] : giving[there] * space[here];
  };
  const auto heat = [&](std::size_t here, std::size_t there, double offered) {
    return (offered > 0 ? latent_[here] : latent_[there]) *
           diffusion_.between(temperature[here], temperature[there], integral_[here], integral_[there]);
  };
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (paths_.east[c] > 0) {
      const double share = open_share(c, c + 1, offered_.east[c]);
      flow_.east[c] = share * offered_.east[c];
      op_.east[c] = share * paths_.east[c] * heat(c, c + 1, offered_.east[c]);
    }
    if (paths_.south[c] > 0) {
      const double share = open_share(c, c + columns, offered_.south[c]);
      flow_.south[c] = share * offered_.south[c];
      op_.south[c] = share * paths_.south[c] * heat(c, c + columns, offered_.south[c]);
    }
  }
}

void VapourFlow::flow_down(const std::vector<double>& face_temperature, double share, double dt) {
  const std::size_t columns = flow_.columns;
  const auto mass = [&](std::size_t here, std::size_t there, double conductance) {
    const double difference = face_temperature[here] - face_temperature[there];
    return conductance * difference * dt / (difference > 0 ? latent_[here] : latent_[there]);
  };
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (op_.east[c] > 0) flow_.east[c] += share * (mass(c, c + 1, op_.east[c]) - flow_.east[c]);
    if (op_.south[c] > 0) flow_.south[c] += share * (mass(c, c + columns, op_.south[c]) - flow_.south[c]);
    potential_[c] += share * (face_temperature[c] - potential_[c]);
  }
  sum_up();
}

// In loops without branches.
void VapourFlow::sum_up() {
  const std::size_t columns = flow_.columns, cells = domain_.cells();
  const auto carry = [&](const std::vector<double>& flow, std::size_t ahead, std::vector<double>& heat) {
    for (std::size_t c = 0; c + ahead < cells; ++c) {
      heat[c] = flow[c] * (flow[c] > 0 ? carried_[c] : carried_[c + ahead]);
    }
  };
  carry(flow_.east, 1, heat_.east);  // none from the last column
  carry(flow_.south, columns, heat_.south);
  const auto balance = [&](const FaceFlow& flow, std::vector<double>& sum) {
    for (std::size_t c = 0; c < cells; ++c) sum[c] -= flow.east[c] + flow.south[c];
    for (std::size_t c = 1; c < cells; ++c) sum[c] += flow.east[c - 1];
    for (std::size_t c = columns; c < cells; ++c) sum[c] += flow.south[c - columns];
  };
  std::fill(gained_.begin(), gained_.end(), 0.0);
  balance(flow_, gained_);
  std::copy(liquid_->enthalpy().begin(), liquid_->enthalpy().end(), enthalpy_.begin());
  balance(heat_, enthalpy_);
  for (std::size_t c = 0; c < cells; ++c) water_[c] = liquid_->water()[c] + gained_[c] / capacity_[c];
}

bool VapourFlow::refuse(const std::vector<double>& water) {
  constexpr double round_off = 1e-10;
  bool passes = false;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    const double most = 1 + gas_fraction_[c];
    passes = passes || (gained_[c] < 0 && water[c] < -round_off) || (gained_[c] > 0 && water[c] > most + round_off);
    may_lose_[c] = water[c] * capacity_[c] - gained_[c];
    may_gain_[c] = most * capacity_[c] - may_lose_[c];
  }
  if (!passes) return false;
  wanted_ = flow_;
  bounds_.bound_losses(potential_, may_lose_, flow_);
  bounds_.bound_gains(potential_, may_gain_, flow_);
  std::fill(returned_.begin(), returned_.end(), 0.0);
  FaceFlow& cut = wanted_;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    cut.east[c] -= flow_.east[c];
    cut.south[c] -= flow_.south[c];
  }
  for_each_crossing(cut, [&](std::size_t from, std::size_t to, double mass) {
    refused_ += mass;
    returned_[from] += mass * latent_[from];
    returned_[to] -= mass * latent_[from];
  });
  for (std::size_t c = 0; c < domain_.cells(); ++c) all_returned_[c] += returned_[c];
  sum_up();
  return true;
}

void VapourFlow::add(double dt, State& next, Ledger& ledger) {
  ledger.vapour_refused += refused_;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    next.rates.vapour[c] = gained_[c] / (capacity_[c] * dt);
    ledger.vapour_condensed += std::max(0.0, gained_[c]);
  }
}

}  // namespace dryfront
