// Turns states into the record of a mode: trace, probes, frames, depths, summary.
#pragma once

#include "simulation/checkpoint.hpp"
#include "simulation/depth.hpp"
#include "simulation/record.hpp"
#include "simulation/step.hpp"

namespace dryfront {

class Recorder {
 public:
  Recorder(const Case& c, const Grid& grid, const Mode& mode);

  // Goes on with what another recorder of the same mode has gathered.
  void go_on(const Recording& recording) { recording_ = recording; }
  const Recording& recording() const { return recording_; }

  // Adds a row to the trace and the probes. Times of arcing and drying out are taken here.
  void add(ModeStepper& stepper, const State& state);
  // The electric state of the last row was found anew (ModeStepper::renew_current).
  void renew(const State& state);
  void add_refused() { ++recording_.record.rejected_steps; }
  // Counts an accepted step and its part of the balances.
  void add_step(const State& state, const Ledger& step);
  Frame frame(const State& state);
  // The record with its summary, the balances closed; the recorder itself stays as it is and may go on.
  ModeRecord finished(const Stored& start, const Stored& end_stored, const State& end, bool completed);

 private:
  EffectFields fields_of(const State& state) const;
  void add_probes(const State& state);
  RangePassing passing_of(const State& state) const;

  const Case& case_;
  const Grid& grid_;
  Recording recording_;
  std::vector<double> excess_, depth_;
  std::vector<double> begins_;  // tissue_begins
};

}  // namespace dryfront
