#include "studies/sweep/design.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/triangular.hpp>
#include <boost/random/sobol.hpp>

#include "files/case/key_table.hpp"

namespace dryfront {

namespace {

constexpr double outer_share = 0.025;  // of a normal distribution, beyond what counts as its range

AxisSetting numeric(double number) { return {number_text(number), number}; }

// Cut at low and high and scaled up again, so that nothing piles up at the cuts.
double cut_normal_quantile(const PlanAxis& axis, double share) {
  const boost::math::normal normal(axis.mean, axis.deviation);
  const double below = cdf(normal, axis.low), up_to = cdf(normal, axis.high);
  return std::clamp(quantile(normal, below + share * (up_to - below)), axis.low, axis.high);
}

double value_of(const Operand& operand, const std::vector<AxisSetting>& settings, const Plan& plan) {
  if (operand.axis < 0) return operand.number;
  const auto k = static_cast<std::size_t>(operand.axis);
  return settings[k].text.empty() ? plan.axes[k].base : settings[k].number;
}

double value_of(const Side& side, const std::vector<AxisSetting>& settings, const Plan& plan) {
  const double first = value_of(side.first, settings, plan);
  switch (side.operation) {
    case Operation::none:
      return first;
    case Operation::plus:
      return first + value_of(side.second, settings, plan);
    case Operation::minus:
      return first - value_of(side.second, settings, plan);
    case Operation::times:
      return first * value_of(side.second, settings, plan);
    case Operation::over:
      return first / value_of(side.second, settings, plan);
  }
  return first;
}

bool holds(double left, Relation relation, double right) {
  switch (relation) {
    case Relation::less:
      return left < right;
    case Relation::at_most:
      return left <= right;
    case Relation::greater:
      return left > right;
    case Relation::at_least:
      return left >= right;
    case Relation::equal:
      return left == right;
    case Relation::unequal:
      return left != right && !std::isnan(left) && !std::isnan(right);
  }
  return false;
}

}  // namespace

std::uint64_t permuted(std::uint64_t index, std::uint64_t count, std::uint64_t key) {
  assert(index < count);
  int half = 1;  // bits of each half of the network
  while (half < 32 && (std::uint64_t{1} << (2 * half)) < count) ++half;
  const std::uint64_t mask = (std::uint64_t{1} << half) - 1;
  constexpr std::uint64_t rounds = 6;
  do {
    std::uint64_t left = index >> half, right = index & mask;
    for (std::uint64_t round = 0; round < rounds; ++round) {
      const std::uint64_t next = left ^ (scrambled(key + round, right) & mask);
      left = right;
      right = next;
    }
    index = (left << half) | right;
  } while (index >= count);
  return index;
}

AxisSetting quantile(const PlanAxis& axis, double share) {
  assert(share > 0 && share < 1);
  switch (axis.distribution) {
    case Distribution::none: {
      const auto count = static_cast<double>(axis.values.size());
      const AxisValue& value = axis.values[std::min(axis.values.size() - 1, static_cast<std::size_t>(share * count))];
      return {value.text, value.number};
    }
    case Distribution::uniform:
      return numeric(axis.low + (axis.high - axis.low) * share);
    case Distribution::log_uniform:
      return numeric(axis.low * std::pow(axis.high / axis.low, share));
    case Distribution::normal:
      return numeric(cut_normal_quantile(axis, share));
    case Distribution::triangular:
      return numeric(quantile(boost::math::triangular(axis.low, axis.mode, axis.high), share));
  }
  return {};
}

struct DesignPoints::Sequence {
  explicit Sequence(std::size_t dimensions) : engine(dimensions), next(0) {}
  boost::random::sobol engine;
  std::uint64_t next;  // index of the point the engine gives next
};

DesignPoints::DesignPoints(const Plan& plan, std::size_t design) : plan_(&plan), design_(&plan.designs[design]) {
  key_ = scrambled(static_cast<std::uint64_t>(plan.seed), design);
  const auto drawn = static_cast<std::uint64_t>(design_->points);
  const std::size_t axes = design_->axes.size();
  switch (design_->kind) {
    case DesignKind::grid:
      size_ = 1;
      // The plan's reader has refused more than most_grid_points.
      for (const std::size_t axis : design_->axes) {
        size_ *= plan.axes[axis].values.size();
      }
      break;
    case DesignKind::latin_hypercube:
      size_ = drawn;
      break;
    case DesignKind::sobol:
      size_ = drawn;
      sequence_ = std::make_unique<Sequence>(axes);
      break;
    case DesignKind::saltelli:
      size_ = drawn * (axes + 2);
      sequence_ = std::make_unique<Sequence>(2 * axes);
      break;
    case DesignKind::one_at_a_time:
      for (const std::size_t k : design_->axes) {
        const PlanAxis& axis = plan.axes[k];
        if (axis.distribution == Distribution::none) {
          for (const AxisValue& value : axis.values) single_.push_back({k, {value.text, value.number}});
        } else if (axis.distribution == Distribution::normal) {
          for (const double share : {outer_share, 1 - outer_share}) single_.push_back({k, quantile(axis, share)});
        } else {
          for (const double end : {axis.low, axis.high}) single_.push_back({k, numeric(end)});
        }
      }
      size_ = single_.size() + 1;
      break;
  }
}

DesignPoints::DesignPoints(DesignPoints&&) noexcept = default;
DesignPoints& DesignPoints::operator=(DesignPoints&&) noexcept = default;
DesignPoints::~DesignPoints() = default;

std::vector<double> DesignPoints::sobol_shares(std::uint64_t index) {
  // The library's sequence leaves out the point 0, which the shift moves off the corner anyway.
  if (sequence_->next != index) sequence_->engine.seed(index);
  sequence_->next = index + 1;
  std::vector<double> shares(sequence_->engine.dimension());
  for (std::size_t k = 0; k < shares.size(); ++k) {
    shares[k] = unit_interval(sequence_->engine() ^ scrambled(key_, k));
  }
  return shares;
}

std::vector<AxisSetting> DesignPoints::at(std::uint64_t index) {
  assert(index < size_);
  std::vector<AxisSetting> settings(plan_->axes.size());
  for (const auto& [axis, value] : design_->held) settings[axis] = {value.text, value.number};
  const std::vector<std::size_t>& axes = design_->axes;
  switch (design_->kind) {
    case DesignKind::grid:
      for (std::size_t k = axes.size(); k-- > 0;) {
        const std::vector<AxisValue>& values = plan_->axes[axes[k]].values;
        const AxisValue& value = values[index % values.size()];
        settings[axes[k]] = {value.text, value.number};
        index /= values.size();
      }
      break;
    case DesignKind::latin_hypercube:
      for (std::size_t k = 0; k < axes.size(); ++k) {
        const std::uint64_t own = scrambled(key_, k);
        const auto slice = static_cast<double>(permuted(index, size_, own));
        const double inside = unit_interval(scrambled(~own, index));
        const double share = std::min((slice + inside) / static_cast<double>(size_), 1 - 0x1p-53);
        settings[axes[k]] = quantile(plan_->axes[axes[k]], share);
      }
      break;
    case DesignKind::sobol: {
      const std::vector<double> shares = sobol_shares(index);
      for (std::size_t k = 0; k < axes.size(); ++k) settings[axes[k]] = quantile(plan_->axes[axes[k]], shares[k]);
      break;
    }
    case DesignKind::saltelli: {
      const std::size_t block = axes.size() + 2;
      const std::vector<double> shares = sobol_shares(index / block);
      const std::size_t part = index % block;  // 0: A, 1: B, 2 + k: A with axis k from B
      for (std::size_t k = 0; k < axes.size(); ++k) {
        const bool from_b = part == 1 || part == 2 + k;
        settings[axes[k]] = quantile(plan_->axes[axes[k]], shares[from_b ? axes.size() + k : k]);
      }
      break;
    }
    case DesignKind::one_at_a_time:
      if (index > 0) settings[single_[index - 1].first] = single_[index - 1].second;
      break;
  }
  return settings;
}

int DesignPoints::moved_axis(std::uint64_t index) const {
  return index == 0 ? -1 : static_cast<int>(single_.at(index - 1).first);
}

bool satisfies(const Plan& plan, const std::vector<AxisSetting>& settings) {
  return std::all_of(plan.constraints.begin(), plan.constraints.end(), [&](const Constraint& constraint) {
    return holds(value_of(constraint.left, settings, plan), constraint.relation,
                 value_of(constraint.right, settings, plan));
  });
}

PlanPoints::PlanPoints(const Plan& plan) : plan_(&plan), first_{0} {
  for (std::size_t k = 0; k < plan.designs.size(); ++k) {
    designs_.emplace_back(plan, k);
    first_.push_back(first_.back() + designs_.back().size());
  }
}

std::size_t PlanPoints::design_of(std::uint64_t point) const {
  assert(point < size());
  return static_cast<std::size_t>(std::upper_bound(first_.begin(), first_.end(), point) - first_.begin()) - 1;
}

std::vector<AxisSetting> PlanPoints::at(std::uint64_t point) {
  const std::size_t design = design_of(point);
  return designs_[design].at(point - first_[design]);
}

bool PlanPoints::excluded(std::uint64_t point) { return !plan_->constraints.empty() && !satisfies(*plan_, at(point)); }

std::vector<std::string> overrides_of(const Plan& plan, const std::vector<AxisSetting>& settings) {
  std::vector<std::string> overrides;
  for (std::size_t k = 0; k < settings.size(); ++k) {
    if (settings[k].text.empty()) continue;
    for (const std::string& key : plan.axes[k].keys) overrides.push_back(key + "=" + settings[k].text);
  }
  return overrides;
}

}  // namespace dryfront
