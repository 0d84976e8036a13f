#include "simulation/water_flow.hpp"

namespace dryfront {

WaterFlow::WaterFlow(const Domain& domain)
    : moisture_(domain.grid, domain.rows, domain.contact), water_(domain.cells(), 0.0), enthalpy_(domain.cells(), 0.0) {
  for (const std::size_t tissue : domain.rows.of_row) {
    moves_ = moves_ || (domain.physics.moisture && domain.rows.tissue[tissue].moisture > 0);
  }
}

SolveFailure WaterFlow::solve(const State& now, double dt) {
  if (!moves_) return {};
  const Moisture::Report report =
      moisture_.flow(dt, now.fields.water, now.rates.boil_off, now.fields.temperature, water_, enthalpy_);
  if (report.converged) return {};
  return {"moisture", "iterations of the linear solver", static_cast<double>(report.iterations)};
}

}  // namespace dryfront
