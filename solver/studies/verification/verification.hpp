// The checks behind `dryfront verify`: what the modules compute, held against solutions that were found elsewhere.
#pragma once

#include <functional>
#include <limits>
#include <string>
#include <vector>

namespace dryfront {

// quick: the coarser grids only, some seconds in all. full: every grid.
enum class Effort { quick, full };

inline constexpr double no_order = std::numeric_limits<double>::quiet_NaN();

// One number held against its exact value.
struct Finding {
  std::string quantity;  // with its unit
  double exact = 0;
  double computed = 0;
  double error = 0;         // not negative; relative unless the quantity says otherwise [-]
  double allowed = 0;       // [-]
  double order = no_order;  // observed, of the error against cell size or step; NaN where none was measured
  double least_order = no_order;
  double most_order = no_order;

  // A NaN passes nothing.
  bool passed() const;
};

// Error relative to the exact value, or to `scale` where one is given (a rise of temperature, the greatest value).
Finding finding(std::string quantity, double exact, double computed, double allowed);
Finding finding(std::string quantity, double exact, double computed, double allowed, double scale);
// Asks for an observed order between two bounds as well.
Finding with_order(Finding of, double order, double least, double most);

// log2 of the ratio of the last two errors, of a family in which every member halves the cells (or steps) of the one
// before.
double observed_order(const std::vector<double>& errors);
// Slope of log(error) against log(size), least squares over all members.
double fitted_order(const std::vector<double>& sizes, const std::vector<double>& errors);

struct VerificationCheck {
  std::string id;
  std::string title;
  std::string source;  // author and year; "abstract" where only that was seen, "from memory" where not even that
  std::function<std::vector<Finding>(Effort)> run;
};

// By subject, each in a file of its own.
std::vector<VerificationCheck> electric_checks();
std::vector<VerificationCheck> electrode_shape_checks();
std::vector<VerificationCheck> contact_checks();
std::vector<VerificationCheck> rim_gap_checks();
std::vector<VerificationCheck> heat_checks();
std::vector<VerificationCheck> bioheat_checks();
std::vector<VerificationCheck> boiling_checks();
std::vector<VerificationCheck> moisture_checks();
std::vector<VerificationCheck> vapour_checks();
std::vector<VerificationCheck> damage_checks();
std::vector<VerificationCheck> waveform_checks();
std::vector<VerificationCheck> coupled_checks();
std::vector<VerificationCheck> manufactured_checks();
std::vector<VerificationCheck> burst_checks();
std::vector<VerificationCheck> record_checks();
std::vector<VerificationCheck> plane_checks();
std::vector<VerificationCheck> hold_checks();
std::vector<VerificationCheck> bench_checks();
// All of the above, in this order.
std::vector<VerificationCheck> verification_checks();

struct VerifiedCheck {
  std::string id, title, source;
  std::vector<Finding> findings;
  std::string failure;  // what broke the check off; empty when it ran to its end
  double seconds = 0;

  bool passed() const;
};

// Runs the checks, `threads` of them side by side; the results come in the order of the checks.
std::vector<VerifiedCheck> verify(const std::vector<VerificationCheck>& checks, Effort effort, int threads);

}  // namespace dryfront
