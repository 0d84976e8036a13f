// The electric part of a step: from the fields to potential, operating point and heating.
#pragma once

#include <optional>
#include <vector>

#include "simulation/domain.hpp"
#include "simulation/step_report.hpp"

namespace dryfront {

class ElectricStage {
 public:
  ElectricStage(const Domain& domain, const Mode& mode);
  ElectricStage(const ElectricStage&) = delete;  // the gap points to the waveform beside it
  ElectricStage& operator=(const ElectricStage&) = delete;

  // Solves for `fields` and puts electric state, heating and sparks' loss into `state`, whose own fields are not looked
  // at. `demand` is what a controller asks of the source, where it has one [W]. Without the current a vanishing voltage
  // finds the load, breakdown is left out and nothing is heated.
  SolveFailure solve(const Fields& fields, std::optional<double> demand, State& state);

  double wet_share(const Fields& fields);  // area mean of the contact's wet coverage [-]

 private:
  void find_conductivities(const Fields& fields);
  void find_contact(const Fields& fields);
  bool has_channels() const;
  bool has_rim_gap() const;
  void spread_heat(State& state) const;

  const Domain& domain_;
  double crest_factor_, striking_crest_factor_, breakdown_crest_factor_;
  StrikingTable striking_;
  Source source_;
  Source probe_source_;  // a vanishing voltage
  ElectricSolver solver_;
  std::vector<double> conductivity_, breakdown_;  // per cell [S/m]
  std::vector<ContactLaw> contact_laws_;          // per face
  std::vector<double> wet_;                       // per face [-]
  StruckWaveform struck_;
  SparkGap gap_;
  RimGap rim_;
};

}  // namespace dryfront
