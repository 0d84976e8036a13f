// The temperature that a mode's source holds at a probe: what its controller sees and demands.
#pragma once

#include <optional>

#include "numerics/grid_point.hpp"
#include "physics/temperature_control.hpp"
#include "simulation/case.hpp"
#include "simulation/state.hpp"

namespace dryfront {

// Does nothing for sources of another kind. The grid must outlive it.
class TemperatureHold {
 public:
  TemperatureHold(const Case& c, const Grid& grid, const Mode& mode);

  // What the source is asked for with these fields   [W]
  std::optional<double> demand(const Fields& fields, double integral) const;
  // The controller's integral part after `dt` [s]   [W]
  double integral_after(const State& now, const Fields& after, double dt) const;
  // How far the probe's temperature was predicted wrong   [K]
  double prediction_error(const Fields& predicted, const Fields& found) const;

 private:
  double seen(const Fields& fields) const;

  std::optional<GridPoint> probe_;
  TemperatureControl control_;
};

}  // namespace dryfront
