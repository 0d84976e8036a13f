#include "studies/sweep/outlook.hpp"

#include <algorithm>
#include <chrono>
#include <optional>

#include "files/case/case_error.hpp"
#include "simulation/run.hpp"
#include "studies/sweep/design.hpp"
#include "studies/sweep/sweep.hpp"

namespace dryfront {

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

class Outlook {
 public:
  Outlook(const Plan& plan, int threads, const std::atomic<bool>& stop)
      : plan_(plan), threads_(threads), stop_(stop), points_(plan) {}

  SweepOutlook look(double patience) {
    count();
    for (const std::uint64_t point : spread(most_looked_at)) {
      if (stop_) break;
      look_at(point);
    }
    found_.memory *= threads_;
    estimate(patience);
    return std::move(found_);
  }

 private:
  void count() {
    for (std::uint64_t point = 0; point < points_.size() && !stop_; ++point) {
      if (points_.excluded(point)) {
        ++found_.left_out;
      } else {
        ++found_.points;
      }
    }
  }

  // So many points, or all when there are fewer, evenly spread.
  std::vector<std::uint64_t> spread(std::uint64_t many) {
    std::vector<std::uint64_t> chosen;
    const std::uint64_t all = points_.size(), number = std::min(all, many);
    for (std::uint64_t k = 0; k < number; ++k) {
      // The middle of every part, so that a sample is none of ends.
      const auto point = static_cast<std::uint64_t>((static_cast<double>(k) + 0.5) * static_cast<double>(all) /
                                                    static_cast<double>(number));
      if (!points_.excluded(point)) chosen.push_back(point);
    }
    return chosen;
  }

  void look_at(std::uint64_t point) {
    ++found_.looked_at;
    try {
      const Grid grid = case_grid(plan_case(plan_, overrides_of(plan_, points_.at(point))));
      found_.least_cells = found_.most_cells == 0 ? grid.cells() : std::min(found_.least_cells, grid.cells());
      found_.most_cells = std::max(found_.most_cells, grid.cells());
      found_.memory = std::max(found_.memory, memory_of_mode(grid));
    } catch (const CaseError& error) {
      ++found_.refused;
      if (found_.refusals.size() < most_refusals) found_.refusals.emplace_back(point, error.what());
    }
  }

  // The time of some points per expected_length(), times that of all.
  void estimate(double patience) {
    constexpr std::uint64_t most_sampled = 16;
    found_.seconds = not_a_number;
    const auto start = Clock::now();
    double sampled_length = 0, taken = 0;
    for (const std::uint64_t point : spread(most_sampled)) {
      const auto begin = Clock::now();
      if (!runs(point, start, patience)) continue;
      taken += seconds_since(begin);
      sampled_length += expected_length(plan_, points_.at(point));
      ++found_.sampled;
    }
    if (found_.sampled == 0) return;
    double length = 0;
    const std::vector<std::uint64_t> looked = spread(most_looked_at);
    for (const std::uint64_t point : looked) length += expected_length(plan_, points_.at(point));
    const double of_all = length / static_cast<double>(looked.size()) * static_cast<double>(found_.points);
    found_.seconds = taken / sampled_length * of_all / threads_;
  }

  // False when it does not end in time or fails.
  bool runs(std::uint64_t point, Clock::time_point start, double patience) {
    std::atomic<bool> over = false;
    Observer observer;
    observer.stop = &over;
    observer.progress = [&](int, double, double) { over = over || stop_ || seconds_since(start) > patience; };
    if (seconds_since(start) > patience || stop_) return false;
    try {
      const Case c = plan_case(plan_, overrides_of(plan_, points_.at(point)));
      run(c, case_grid(c), observer, 1);
    } catch (const CaseError&) {
      return false;
    } catch (const NumericalFailure&) {
      return false;
    }
    return !over;
  }

  const Plan& plan_;
  int threads_;
  const std::atomic<bool>& stop_;
  PlanPoints points_;
  SweepOutlook found_;
};

}  // namespace

SweepOutlook outlook(const Plan& plan, int threads, double patience, const std::atomic<bool>& stop) {
  return Outlook(plan, threads, stop).look(patience);
}

}  // namespace dryfront
