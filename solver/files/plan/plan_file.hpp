// Plan files: which runs a sweep consists of, read from TOML 1.0.
#pragma once

#include <cstdint>
#include <filesystem>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "numerics/enumeration.hpp"
#include "simulation/case.hpp"

namespace dryfront {

inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

// One value an axis can take.
struct AxisValue {
  std::string text;              // in TOML syntax, as an override wants it
  double number = not_a_number;  // of a text or a flag: not a number
};

enum class Distribution { none, uniform, log_uniform, normal, triangular };
constexpr auto enumerators(Distribution) {
  return enumeration<Distribution>({{Distribution::none, "none"},
                                    {Distribution::uniform, "uniform"},
                                    {Distribution::log_uniform, "log_uniform"},
                                    {Distribution::normal, "normal"},
                                    {Distribution::triangular, "triangular"}});
}

// One quantity that is varied. Numbers are in the key's unit.
struct PlanAxis {
  std::string name;                                // letters, digits, _; a letter first
  std::vector<std::string> keys;                   // paths as of --set; all get the same value
  std::vector<AxisValue> values;                   // of list, range or log_range: what a grid takes
  Distribution distribution = Distribution::none;  // none: the values above are drawn, each as often as the others
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  double mode = not_a_number;       // of a triangular distribution
  double mean = not_a_number;       // of a normal distribution, before it is cut at low and high
  double deviation = not_a_number;  // of a normal distribution
  double base = not_a_number;       // in the base case; not a number where it is none, or not the same everywhere

  bool is_drawn() const { return distribution != Distribution::none || !values.empty(); }
};

enum class DesignKind { grid, latin_hypercube, sobol, saltelli, one_at_a_time };
constexpr auto enumerators(DesignKind) {
  return enumeration<DesignKind>({{DesignKind::grid, "grid"},
                                  {DesignKind::latin_hypercube, "latin_hypercube"},
                                  {DesignKind::sobol, "sobol"},
                                  {DesignKind::saltelli, "saltelli"},
                                  {DesignKind::one_at_a_time, "one_at_a_time"}});
}

// One set of points. Axes that are neither moved nor held stay as they are in the base case.
// Points of a design; they are numbered by 64 bits and looked at one by one.
inline constexpr std::uint64_t most_grid_points = 4'000'000'000;

struct PlanDesign {
  std::string name;
  DesignKind kind = DesignKind::grid;
  std::vector<std::size_t> axes;                        // that it moves, indices into Plan::axes
  std::vector<std::pair<std::size_t, AxisValue>> held;  // axes it holds at a value, with that value
  int points = 0;  // drawn points; saltelli: base points, each of which makes axes + 2 runs
};

// The words are the signs between two sides of a constraint, and between two operands of a side.
enum class Relation { less, at_most, greater, at_least, equal, unequal };
constexpr auto enumerators(Relation) {
  return enumeration<Relation>({{Relation::less, "<"},
                                {Relation::at_most, "<="},
                                {Relation::greater, ">"},
                                {Relation::at_least, ">="},
                                {Relation::equal, "=="},
                                {Relation::unequal, "!="}});
}
enum class Operation { none, plus, minus, times, over };
constexpr auto enumerators(Operation) {
  return enumeration<Operation>({{Operation::none, ""},
                                 {Operation::plus, " + "},  // with blanks: 1e+2 and -3 are numbers
                                 {Operation::minus, " - "},
                                 {Operation::times, "*"},
                                 {Operation::over, "/"}});
}

// An axis or a number.
struct Operand {
  int axis = -1;  // index into Plan::axes; -1: the number
  double number = 0;
};
struct Side {
  Operand first;
  Operation operation = Operation::none;
  Operand second;
};

// Only points for which it holds are run.
struct Constraint {
  std::string text;
  Side left;
  Relation relation = Relation::less;
  Side right;
};

// Of which points the run file is kept; the last one has no word, a plan lists the points.
enum class KeepFields { none, all, listed };
constexpr auto enumerators(KeepFields) {
  return enumeration<KeepFields>(
      {{KeepFields::none, "none"}, {KeepFields::all, "all"}, {KeepFields::listed, "listed"}});
}

struct Plan {
  std::string title;
  std::string question;
  std::filesystem::path case_file;
  std::string text;       // of the plan as it was read
  std::string case_text;  // of the base case as it was read
  std::filesystem::path tissue_directory;
  std::vector<std::string> set;    // overrides of every run, key.path=value
  std::vector<std::string> modes;  // names of the modes that are run, in the order they are compared; empty: all
  std::vector<PlanAxis> axes;
  std::vector<PlanDesign> designs;
  std::vector<Constraint> constraints;
  std::vector<std::string> outputs;   // columns the analysis looks at; empty: the depths of the first effect
  std::vector<std::string> map_axes;  // the two axes of the maps; empty: the first two of each grid
  KeepFields keep = KeepFields::none;
  std::vector<std::int64_t> kept;  // listed: numbers of the points
  int seed = 1;
  Case base;              // the base case with `set`, its modes chosen
  std::string canonical;  // everything that decides the numbers, one thing a line, without comments and layout
};

// Reads a plan and its base case, and tries every axis at its ends, so that a mistyped key is found before the first
// run. Throws CaseError with all that is wrong, FileError when a file cannot be read.
Plan read_plan(const std::filesystem::path& file, const std::filesystem::path& tissue_directory);

// The same from a text; `file` stands in messages and says where the base case lies, unless its text is given too.
Plan parse_plan(const std::string& toml_text, const std::filesystem::path& file,
                const std::filesystem::path& tissue_directory, const std::string* case_text = nullptr);

// The base case with the plan's overrides and then `overrides`, with the plan's modes. Throws CaseError.
Case plan_case(const Plan& plan, const std::vector<std::string>& overrides);

// The unit a name carries as a suffix, "mm" for "depth_mm.coagulation"; "1" where it has none.
std::string unit_of_name(const std::string& name);

}  // namespace dryfront
