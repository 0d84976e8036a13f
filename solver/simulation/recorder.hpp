// Turns states into the record of a drive: trace, probes, frames, depths, summary.
#pragma once

#include "simulation/depth.hpp"
#include "simulation/record.hpp"
#include "simulation/step.hpp"

namespace dryfront {

class Recorder {
 public:
  Recorder(const Case& c, const Grid& grid, const Drive& drive);

  // Adds a row to the trace and the probes. Times of striking and drying out are taken here.
  void add(DriveStepper& stepper, const State& state, bool current_on);
  // The electric state of the last row was found anew (DriveStepper::renew_current).
  void renew(const State& state);
  // Counts an accepted step and its part of the balances.
  void add_step(const State& state, const Ledger& step);
  Frame frame(const State& state);
  // Closes the balances and fills the summary.
  DriveRecord finish(const DriveStepper& stepper, const State& start, const State& end, bool completed);

  DriveRecord& record() { return record_; }

 private:
  EffectFields fields_of(const State& state) const;
  void add_probes(const State& state);

  const Case& case_;
  const Grid& grid_;
  Ledger ledger_;
  DriveRecord record_;
  std::vector<double> excess_, depth_;
};

}  // namespace dryfront
