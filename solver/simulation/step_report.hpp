// What a step reports beside the new state.
#pragma once

#include "simulation/ledger.hpp"

namespace dryfront {

// A solve that did not converge: which one, and how far it had come in which measure. None while `what` is null.
struct SolveFailure {
  const char* what = nullptr;
  const char* measure = "";
  double value = 0;
};

struct StepReport {
  SolveFailure failure;
  double error = 0;         // how far the prediction of the end was off, see PredictionError [K]
  int heat_iterations = 0;  // of the linear solver in both heat stages, summed over the renewals of the boiling set
  Ledger ledger;            // of this step alone

  bool converged() const { return failure.what == nullptr; }
};

}  // namespace dryfront
