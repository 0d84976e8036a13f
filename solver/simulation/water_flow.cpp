#include "simulation/water_flow.hpp"

#include <algorithm>
#include <span>

namespace dryfront {

namespace {

constexpr double dry_with_bound_water = 0.01;  // whose last traces never go [-]

std::vector<double> most_per_tissue(const Domain& domain) {
  std::vector<double> most;
  for (const Tissue& tissue : domain.rows.tissue) most.push_back(1 + domain.spare_room(tissue));
  return most;
}

TissueRows moving_rows(const Domain& domain) {
  TissueRows rows = domain.rows;
  if (domain.physics.moisture) return rows;
  for (Tissue& tissue : rows.tissue) tissue.moisture = 0;
  return rows;
}

}  // namespace

WaterFlow::WaterFlow(const Domain& domain)
    : domain_(domain),
      rows_(moving_rows(domain)),
      moisture_(domain.grid, rows_, domain.contact, most_per_tissue(domain),
                domain.physics.bound_water ? dry_with_bound_water : 0.0,
                domain.physics.vapour ? Moisture::FlowTime::end : Moisture::FlowTime::middle),
      water_(domain.cells(), 0.0),
      enthalpy_(domain.cells(), 0.0),
      loss_(domain.cells(), 0.0) {
  for (const std::size_t tissue : domain.rows.of_row) {
    moves_ = moves_ || (domain.physics.moisture && domain.rows.tissue[tissue].moisture > 0);
  }
  if (!domain.physics.pressed_out_water) return;
  moves_ = true;
  pressed_.emplace(domain.grid, rows_, domain.contact, domain.physics.pressed_diffusivity, domain.physics.pressed_loss);
  middle_temperature_.assign(domain.cells(), 0.0);
}

SolveFailure WaterFlow::solve(const State& now, double dt, Room room) {
  if (!moves_) return {};
  std::span<const double> loss = now.rates.boil_off;
  if (domain_.physics.vapour) {
    for (std::size_t c = 0; c < loss_.size(); ++c) loss_[c] = now.rates.boil_off[c] - now.rates.vapour[c];
    loss = loss_;
  }
  if (room == Room::none) {
    std::fill(loss_.begin(), loss_.end(), 0.0);
    loss = loss_;
  }
  if (pressed_) {
    for (std::size_t c = 0; c < middle_temperature_.size(); ++c) {
      middle_temperature_[c] = now.fields.temperature[c] + 0.5 * dt * now.rates.temperature[c];
    }
    pressed_->set_temperature(middle_temperature_);
  }
  const Moisture::Report report = moisture_.flow(dt, now.fields.water, loss, now.fields.temperature,
                                                 pressed_ ? &*pressed_ : nullptr, water_, enthalpy_);
  if (report.converged) return {};
  return {"moisture", "iterations of the linear solver", static_cast<double>(report.iterations)};
}

bool WaterFlow::overfull(const Fields& fields) const {
  constexpr double margin = 1e-5;  // ten times what a flow may leave
  if (!moves_) return false;
  for (std::size_t c = 0; c < fields.water.size(); ++c) {
    if (fields.water[c] > 1 + domain_.spare_room(c) + margin) return true;
  }
  return false;
}

}  // namespace dryfront
