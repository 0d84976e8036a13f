// Turns states into the record of a mode: trace, probes, frames, depths, summary.
#pragma once

#include "simulation/depth.hpp"
#include "simulation/record.hpp"
#include "simulation/step.hpp"

namespace dryfront {

class Recorder {
 public:
  Recorder(const Case& c, const Grid& grid, const Mode& mode);

  // Adds a row to the trace and the probes. Times of striking and drying out are taken here.
  void add(ModeStepper& stepper, const State& state, bool current_on);
  // The electric state of the last row was found anew (ModeStepper::renew_current).
  void renew(const State& state);
  // Counts an accepted step and its part of the balances.
  void add_step(const State& state, const Ledger& step);
  Frame frame(const State& state);
  // Closes the balances and fills the summary.
  ModeRecord finish(const ModeStepper& stepper, const State& start, const State& end, bool completed);

  ModeRecord& record() { return record_; }

 private:
  EffectFields fields_of(const State& state) const;
  void add_probes(const State& state);

  const Case& case_;
  const Grid& grid_;
  Ledger ledger_;
  ModeRecord record_;
  std::vector<double> excess_, depth_;
};

}  // namespace dryfront
