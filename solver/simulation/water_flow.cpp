#include "simulation/water_flow.hpp"

#include <algorithm>

namespace dryfront {

namespace {

constexpr double dry_with_bound_water = 0.01;  // whose last traces never go [-]

}  // namespace

WaterFlow::WaterFlow(const Domain& domain)
    : moisture_(domain.grid, domain.rows, domain.contact, domain.physics.bound_water ? dry_with_bound_water : 0.0),
      water_(domain.cells(), 0.0),
      enthalpy_(domain.cells(), 0.0),
      nothing_(domain.cells(), 0.0) {
  for (const std::size_t tissue : domain.rows.of_row) {
    moves_ = moves_ || (domain.physics.moisture && domain.rows.tissue[tissue].moisture > 0);
  }
}

SolveFailure WaterFlow::solve(const State& now, double dt, Room room) {
  if (!moves_) return {};
  const std::vector<double>& boil_off = room == Room::boil_off ? now.rates.boil_off : nothing_;
  const Moisture::Report report =
      moisture_.flow(dt, now.fields.water, boil_off, now.fields.temperature, water_, enthalpy_);
  if (report.converged) return {};
  return {"moisture", "iterations of the linear solver", static_cast<double>(report.iterations)};
}

bool WaterFlow::overfull(const Fields& fields) const {
  constexpr double most = 1 + 1e-5;  // ten times what a flow may leave
  return moves_ && std::any_of(fields.water.begin(), fields.water.end(), [](double s) { return s > most; });
}

}  // namespace dryfront
