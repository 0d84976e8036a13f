#include "studies/attribution/runs.hpp"

#include <algorithm>
#include <cassert>
#include <optional>

#include "simulation/run.hpp"

namespace dryfront {

namespace {

struct Todo {
  Mode mode;
  Physics physics;
  DecidesRun decides;
  std::optional<Coalition> coalition;  // of the mixture; none: a condition
};

// The list of runs without repetition.
class Todos {
 public:
  std::size_t add(const Mode& mode, const Physics& physics, std::optional<Coalition> coalition) {
    DecidesRun decides = what_decides(mode, physics);
    const auto known = std::find_if(list_.begin(), list_.end(), [&](const Todo& t) { return t.decides == decides; });
    if (known != list_.end()) return static_cast<std::size_t>(known - list_.begin());
    list_.push_back({mode, physics, std::move(decides), coalition});
    return list_.size() - 1;
  }
  const std::vector<Todo>& list() const { return list_; }

 private:
  std::vector<Todo> list_;
};

std::string named(const std::vector<Player>& players, Coalition coalition) {
  std::string text;
  for (std::size_t k = 0; k < players.size(); ++k) {
    if ((coalition >> k & 1U) != 0) text += (text.empty() ? "" : ", ") + words(players[k]);
  }
  return text.empty() ? "nothing" : text;
}

ModeRecord record_of(const Case& two, const Grid& grid, const Todo& todo, const std::atomic<bool>* stop) {
  Case single = two;
  single.physics = todo.physics;
  single.modes = {todo.mode};
  Observer observer;
  observer.stop = stop;
  return std::move(run(single, grid, observer, 1).front());
}

// The runs that are needed, and where each will be found.
Todos listed(const Case& two, AttributionRuns& runs) {
  const Mode& first = two.modes[0];
  const Mode& second = two.modes[1];
  Todos todos;
  for (Coalition coalition = 0; coalition < Coalition{1} << runs.players.size(); ++coalition) {
    runs.of_mixture.push_back(todos.add(mixture(first, second, runs.players, coalition), two.physics, coalition));
  }
  for (const Mechanism& mechanism : mechanisms) {
    if (!(two.physics.*mechanism.is_on)) continue;
    Physics without = two.physics;
    without.*mechanism.is_on = false;
    const std::size_t of_first = todos.add(first, without, std::nullopt);
    // Where nothing tells the modes apart any more, one run stands for both.
    const bool differ = !differences(without, first, second).empty();
    runs.condition.push_back({&mechanism, of_first, differ ? todos.add(second, without, std::nullopt) : of_first});
  }
  return todos;
}

}  // namespace

AttributionRuns attribution_runs(const Case& two, const ParallelRuns& how) {
  assert(two.modes.size() == 2);
  AttributionRuns runs;
  runs.players = differences(two.physics, two.modes[0], two.modes[1]);
  const Todos todos = listed(two, runs);
  const std::vector<Todo>& todo = todos.list();
  const Grid grid = case_grid(two);
  runs.run.resize(todo.size());
  runs.failed.resize(todo.size());
  run_in_parallel(todo.size(), how, [&](std::size_t k) {
    try {
      runs.run[k] = record_of(two, grid, todo[k], how.stop);
    } catch (const NumericalFailure& error) {
      if (todo[k].coalition) {
        throw NumericalFailure(std::string(error.what()) +
                               "; taken from the second mode: " + named(runs.players, *todo[k].coalition));
      }
      runs.failed[k] = error.what();
    }
  });
  return runs;
}

}  // namespace dryfront
