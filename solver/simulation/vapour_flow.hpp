// The vapour part of a step: what it lets heat through, and the water that goes with that heat.
#pragma once

#include <vector>

#include "physics/face_flow.hpp"
#include "physics/vapour.hpp"
#include "simulation/domain.hpp"
#include "simulation/ledger.hpp"
#include "simulation/water_flow.hpp"

namespace dryfront {

// Heat carried by vapour is part of the implicit heat stages, through faces whose conductances are those of the middle
// of the step. The very heat that those stages have sent through a face is, over L, the water that goes through it,
// from the hotter to the cooler cell, with its sensible heat. It enters the cells as the moisture's flow does, at a
// constant rate through the step: in the first stage as foreseen, at the predicted end as that stage has sent it, at
// the end as both have. How far faces are open is foreseen implicitly (VapourOpening), so that cells come near their
// limits and do not pass them; what would still pass is refused and gives its heat back to the giver.
class VapourFlow {
 public:
  explicit VapourFlow(const Domain& domain);

  bool on() const { return domain_.physics.vapour; }
  // For a step of dt [s] from `now`, with the temperatures of its middle.
  void open(const State& now, const WaterFlow& flow, double dt, const std::vector<double>& temperature);
  const FluxOperator& conductances() const { return op_; }  // of the faces [W/K]
  // The flow of the whole step is `share` that by these temperatures, with which heat went through the faces, and else
  // what it was.
  void flow_down(const std::vector<double>& face_temperature, double share, double dt);
  // Whether cells would end with less than no water or more than they can hold, with `water` at their end as it is now;
  // their flow is then cut.
  bool refuse(const std::vector<double>& water);
  // Heat to be given back to every cell, or taken from it, for what was cut just now [J].
  const std::vector<double>& returned() const { return returned_; }
  // What flows into every cell within the step, of liquid water and vapour: as a change of s, and enthalpy [J].
  const std::vector<double>& water() const { return water_; }
  const std::vector<double>& enthalpy() const { return enthalpy_; }
  // At the end of the step.
  void add(double dt, State& next, Ledger& ledger);
  // Whether anything was cut in the step, and the heat that every cell was given back, or lost, for it [J].
  bool any_returned() const { return refused_ > 0; }
  const std::vector<double>& all_returned() const { return all_returned_; }

 private:
  void foresee(const State& now, double dt);
  void set_conductances(const std::vector<double>& temperature);
  void sum_up();
  // visit(from, to, mass) for every face, masses not negative [kg]
  template <typename Visit>
  void for_each_crossing(const FaceFlow& flow, Visit visit) const;

  const Domain& domain_;
  MeanVapourDiffusion diffusion_;
  FluxOperator paths_;  // tortuosity times area over length [m]
  FluxOperator op_;
  VapourOpening opening_;
  FaceFlow offered_, flow_, wanted_;  // see VapourOpening; of the step; before the last cut [kg]
  FaceFlow heat_;                     // sensible, that goes with the flow of the step [J]
  FlowBounds bounds_;
  const WaterFlow* liquid_ = nullptr;                          // of this step
  std::vector<double> capacity_;                               // W0 volume [kg]
  std::vector<double> gas_fraction_, latent_, boiling_point_;  // of the cells' tissue
  std::vector<double> heat_of_water_;                          // [J/(kg K)]
  std::vector<double> integral_;                               // of the diffusion, at the cells' temperature [kg/(m s)]
  std::vector<double> carried_;        // enthalpy of the water that leaves a cell, counted from T_b [J/kg]
  std::vector<double> potential_;      // down which the vapour went [C]
  std::vector<double> before_, most_;  // see VapourOpening
  std::vector<double> gained_;         // by vapour [kg]
  std::vector<double> water_, enthalpy_;
  std::vector<double> may_lose_, may_gain_;      // [kg]
  std::vector<double> returned_, all_returned_;  // just now, in this attempt [J]
  double refused_ = 0;                           // in this attempt [kg]
};

}  // namespace dryfront
