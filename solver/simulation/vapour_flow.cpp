#include "simulation/vapour_flow.hpp"

#include <algorithm>
#include <cmath>

namespace dryfront {

VapourFlow::VapourFlow(const Domain& domain)
    : domain_(domain),
      op_(domain.grid),
      flow_(domain.grid),
      wanted_(domain.grid),
      uncut_(domain.grid),
      open_(domain.grid),
      bounds_(domain.grid) {
  if (!on()) return;
  for (std::size_t c = 0; c < domain.cells(); ++c) {
    capacity_.push_back(initial_water(domain.tissue(c)) * domain.volume[c]);
    tortuosity_.push_back(domain.tissue(c).tortuosity);
  }
  for (auto* field :
       {&foreseen_, &may_lose_, &may_gain_, &gained_, &heat_, &potential_, &all_returned_, &heat_capacity_}) {
    field->assign(domain.cells(), 0.0);
  }
}

void VapourFlow::forget() {
  for (auto* share : {&open_.east, &open_.south}) std::fill(share->begin(), share->end(), 1.0);
}

double VapourFlow::greatest_return() const {
  double greatest = 0;
  for (std::size_t c = 0; c < all_returned_.size(); ++c) {
    greatest = std::max(greatest, std::abs(all_returned_[c]) / heat_capacity_[c]);
  }
  return greatest;
}

bool VapourFlow::close_further() {
  constexpr double allowed = 1;  // [K]
  if (greatest_return() <= allowed) return false;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (uncut_.east[c] != flow_.east[c]) open_.east[c] *= flow_.east[c] / uncut_.east[c];
    if (uncut_.south[c] != flow_.south[c]) open_.south[c] *= flow_.south[c] / uncut_.south[c];
  }
  return true;
}

void VapourFlow::open(const State& now, const WaterFlow& flow, double dt, const std::vector<double>& temperature,
                      const std::vector<double>& water) {
  set_vapour_conductances(domain_.grid, domain_.rows, domain_.contact, diffusion_, temperature, water, tortuosity_,
                          op_);
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    op_.east[c] *= open_.east[c];
    op_.south[c] *= open_.south[c];
    foreseen_[c] = std::max(0.0, now.fields.water[c] + flow.water()[c] - dt * now.rates.boil_off[c]);
  }
  flow_down(temperature, dt);
  refused_ = bound(temperature, foreseen_, temperature);
  sum_up();
  if (refused_ <= 0) return;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (wanted_.east[c] != flow_.east[c]) op_.east[c] *= flow_.east[c] / wanted_.east[c];
    if (wanted_.south[c] != flow_.south[c]) op_.south[c] *= flow_.south[c] / wanted_.south[c];
  }
}

void VapourFlow::flow_down(const std::vector<double>& temperature, double dt) {
  const std::size_t columns = flow_.columns;
  const auto mass = [&](std::size_t here, std::size_t there, double conductance) {
    if (conductance == 0) return 0.0;
    const double difference = temperature[here] - temperature[there];
    return conductance * difference * dt / domain_.tissue(difference > 0 ? here : there).latent;
  };
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (c % columns + 1 < columns) flow_.east[c] = mass(c, c + 1, op_.east[c]);
    if (c + columns < domain_.cells()) flow_.south[c] = mass(c, c + columns, op_.south[c]);
  }
}

double VapourFlow::bound(const std::vector<double>& potential, const std::vector<double>& water,
                         const std::vector<double>& at) {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    may_lose_[c] = water[c] * capacity_[c];
    may_gain_[c] = (most_water(domain_, c, at[c]) - water[c]) * capacity_[c];
  }
  wanted_ = flow_;
  bounds_.bound_losses(potential, may_lose_, flow_);
  bounds_.bound_gains(potential, may_gain_, flow_);
  double refused = 0;
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    refused += std::abs(wanted_.east[c] - flow_.east[c]) + std::abs(wanted_.south[c] - flow_.south[c]);
  }
  return refused;
}

void VapourFlow::sum_up() {
  const std::size_t columns = flow_.columns;
  std::fill(gained_.begin(), gained_.end(), 0.0);
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (flow_.east[c] != 0) {
      gained_[c] -= flow_.east[c];
      gained_[c + 1] += flow_.east[c];
    }
    if (flow_.south[c] != 0) {
      gained_[c] -= flow_.south[c];
      gained_[c + columns] += flow_.south[c];
    }
  }
}

void VapourFlow::predict(Fields& predicted) const {
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    predicted.water[c] = std::max(0.0, predicted.water[c] + gained_[c] / capacity_[c]);
  }
}

template <typename Visit>
void VapourFlow::for_each_crossing(Visit visit) const {
  const std::size_t columns = flow_.columns;
  const auto see = [&](std::size_t here, std::size_t there, double wanted, double moved) {
    if (wanted > 0) visit(here, there, wanted, moved);
    if (wanted < 0) visit(there, here, -wanted, -moved);
  };
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    if (c % columns + 1 < columns) see(c, c + 1, wanted_.east[c], flow_.east[c]);
    if (c + columns < domain_.cells()) see(c, c + columns, wanted_.south[c], flow_.south[c]);
  }
}

void VapourFlow::flow(const std::vector<double>& face_temperature, double dt) {
  flow_down(face_temperature, dt);
  uncut_ = flow_;
  std::copy(face_temperature.begin(), face_temperature.end(), potential_.begin());
  std::fill(all_returned_.begin(), all_returned_.end(), 0.0);
}

bool VapourFlow::refuse(const std::vector<double>& water, const std::vector<double>& at) {
  const double refused = bound(potential_, water, at);
  refused_ += refused;
  std::fill(heat_.begin(), heat_.end(), 0.0);
  if (refused <= 0) return false;
  for_each_crossing([&](std::size_t from, std::size_t to, double wanted, double moved) {
    const double back = (wanted - moved) * domain_.tissue(from).latent;
    heat_[from] += back;
    heat_[to] -= back;
  });
  for (std::size_t c = 0; c < domain_.cells(); ++c) all_returned_[c] += heat_[c];
  return true;
}

void VapourFlow::carry(double dt, State& next, Ledger& ledger) {
  Fields& fields = next.fields;
  refused_ += bound(potential_, fields.water, fields.temperature);
  ledger.vapour_refused += refused_;
  sum_up();
  std::fill(heat_.begin(), heat_.end(), 0.0);
  for_each_crossing([&](std::size_t from, std::size_t to, double wanted, double moved) {
    const Tissue& tissue = domain_.tissue(from);
    const double of_water = (heat_capacity(tissue, 1.0) - heat_capacity(tissue, 0.0)) / initial_water(tissue);
    const double heat =
        moved * of_water * (fields.temperature[from] - tissue.boiling_point) - (wanted - moved) * tissue.latent;
    heat_[from] -= heat;
    heat_[to] += heat;
    all_returned_[from] += (wanted - moved) * tissue.latent;
    all_returned_[to] -= (wanted - moved) * tissue.latent;
  });
  for (std::size_t c = 0; c < domain_.cells(); ++c) {
    next.rates.vapour[c] = gained_[c] / (capacity_[c] * dt);
    heat_capacity_[c] = heat_capacity(domain_.tissue(c), fields.water[c]) * domain_.volume[c];
    if (gained_[c] == 0 && heat_[c] == 0) continue;
    const Tissue& tissue = domain_.tissue(c);
    const double volume = domain_.volume[c];
    const double before =
        heat_capacity(tissue, fields.water[c]) * volume * (fields.temperature[c] - tissue.boiling_point);
    fields.water[c] += gained_[c] / capacity_[c];
    fields.temperature[c] =
        tissue.boiling_point + (before + heat_[c]) / (heat_capacity(tissue, fields.water[c]) * volume);
    ledger.vapour_condensed += std::max(0.0, gained_[c]);
  }
}

}  // namespace dryfront
