// Where the points of a plan lie. Any point is computed by itself from its number, so that shards, threads and the
// order of the runs cannot change it and nothing of the size of the plan has to be kept.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "files/plan/plan_file.hpp"
#include "numerics/counter_random.hpp"

namespace dryfront {

// The value of one axis at one point.
struct AxisSetting {
  std::string text;              // in TOML syntax; empty: as in the base case
  double number = not_a_number;  // in the key's unit; of a text or a flag: not a number
};

// The place of `index` in a permutation of 0 .. count - 1 that `key` picks: a Feistel network walked until it is back
// in range (Black and Rogaway 2002), so that nothing is stored. count >= 1.
std::uint64_t permuted(std::uint64_t index, std::uint64_t count, std::uint64_t key);

// The value below which the axis lies with probability `share`, 0 < share < 1; discrete axes give one of their values.
AxisSetting quantile(const PlanAxis& axis, double share);

// The points of one design, numbered from 0. Not for several threads at once (a Sobol sequence remembers where it is).
class DesignPoints {
 public:
  DesignPoints(const Plan& plan, std::size_t design);
  DesignPoints(DesignPoints&&) noexcept;
  DesignPoints& operator=(DesignPoints&&) noexcept;
  ~DesignPoints();

  std::uint64_t size() const { return size_; }

  // One setting per axis of the plan.
  //   grid             the last axis of the design runs fastest
  //   latin_hypercube  every axis cut into `points` slices, each hit once (McKay, Beckman, Conover 1979)
  //   sobol            Sobol points (Joe and Kuo 2008) with a digital shift drawn from the random number seed
  //   saltelli         for base point i: A, B, then A with one axis at a time from B (Saltelli et al. 2010);
  //                    A and B are the halves of a Sobol point of twice as many axes
  //   one_at_a_time    the base case, then each axis at the 2.5 and 97.5 % quantile (normal), at its ends (others), or
  //                    at each of its values (lists)
  std::vector<AxisSetting> at(std::uint64_t index);

  // one_at_a_time: which axis of the plan is moved at `index`; -1 for the base case.
  int moved_axis(std::uint64_t index) const;

 private:
  struct Sequence;  // of Sobol points
  std::vector<double> sobol_shares(std::uint64_t index);

  const Plan* plan_;
  const PlanDesign* design_;
  std::uint64_t key_ = 0;  // what makes this design's chance its own
  std::uint64_t size_ = 0;
  std::vector<std::pair<std::size_t, AxisSetting>> single_;  // one_at_a_time: axis and its setting
  std::unique_ptr<Sequence> sequence_;
};

// Whether every constraint of the plan holds. A comparison with what is no number does not hold.
bool satisfies(const Plan& plan, const std::vector<AxisSetting>& settings);

// All points of all designs of a plan, numbered through in the order of the designs.
class PlanPoints {
 public:
  explicit PlanPoints(const Plan& plan);

  std::uint64_t size() const { return first_.back(); }  // excluded ones included
  std::uint64_t first(std::size_t design) const { return first_[design]; }
  std::size_t design_of(std::uint64_t point) const;
  std::vector<AxisSetting> at(std::uint64_t point);
  bool excluded(std::uint64_t point);  // a constraint leaves it out
  const DesignPoints& design(std::size_t k) const { return designs_[k]; }

 private:
  const Plan* plan_;
  std::vector<DesignPoints> designs_;
  std::vector<std::uint64_t> first_;  // per design, and one past the last
};

// The settings as overrides, key.path=value.
std::vector<std::string> overrides_of(const Plan& plan, const std::vector<AxisSetting>& settings);

}  // namespace dryfront
