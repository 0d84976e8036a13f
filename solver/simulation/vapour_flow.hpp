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
// from the hotter to the cooler cell, at the end of the step and with its sensible heat. A cell that would run dry or
// hold more than it can refuses: as far as that can be foreseen its faces are closed in proportion, and what is
// refused at the end gives its heat back to the giver.
class VapourFlow {
 public:
  explicit VapourFlow(const Domain& domain);

  bool on() const { return domain_.physics.vapour; }
  // Before the first attempt at a step: nothing is known yet of what will be refused.
  void forget();
  // After an attempt: whether so much heat was given back that it is to be taken again, now with the faces closed by
  // what was refused. A strong flow cannot be foreseen: a cell that passes the heat on would be left far too cold.
  bool close_further();
  // The greatest change of a temperature by heat that was given back [K].
  double greatest_return() const;
  // For a step of dt [s] from `now`, with the temperatures and the water of its middle.
  void open(const State& now, const WaterFlow& flow, double dt, const std::vector<double>& temperature,
            const std::vector<double>& water);
  const FluxOperator& conductances() const { return op_; }  // of the faces [W/K]
  // Water that will have come, at the predicted end.
  void predict(Fields& predicted) const;
  // The water that has gone with the step's heat, by the temperatures with which that went through the faces, averaged
  // over the step.
  void flow(const std::vector<double>& face_temperature, double dt);
  // Cuts it for cells that hold `water` at temperatures `at`; false where nothing is to be cut.
  bool refuse(const std::vector<double>& water, const std::vector<double>& at);
  // Heat to be given back to every cell, or taken from it, for what was cut just now [J].
  const std::vector<double>& returned() const { return heat_; }
  // Moves the water, cut once more where a cell has come to hold more or less by what was given back.
  void carry(double dt, State& next, Ledger& ledger);

 private:
  void flow_down(const std::vector<double>& temperature, double dt);
  // Cuts the flow of cells that hold `water` at `at`; returns what is refused [kg].
  double bound(const std::vector<double>& potential, const std::vector<double>& water, const std::vector<double>& at);
  void sum_up();
  // visit(from, to, wanted, moved) for every face that has a flow, masses not negative [kg]
  template <typename Visit>
  void for_each_crossing(Visit visit) const;

  const Domain& domain_;
  MeanVapourDiffusion diffusion_;
  FluxOperator op_;
  FaceFlow flow_, wanted_;  // now, and before the last cut [kg]
  FaceFlow uncut_;          // as it went with the heat [kg]
  FaceFlow open_;           // share of every face that is left open [-]
  FlowBounds bounds_;
  std::vector<double> capacity_;  // W0 volume [kg]
  std::vector<double> tortuosity_;
  std::vector<double> foreseen_;             // water at the end without vapour [-]
  std::vector<double> may_lose_, may_gain_;  // [kg]
  std::vector<double> potential_;            // down which the step's vapour went [C]
  std::vector<double> gained_;               // by vapour [kg]
  std::vector<double> heat_;                 // that comes back, or comes with it, from T_b [J]
  std::vector<double> all_returned_;         // in this attempt [J]
  std::vector<double> heat_capacity_;        // of the cells at their end, for greatest_return [J/K]
  double refused_ = 0;                       // in this step [kg]
};

}  // namespace dryfront
