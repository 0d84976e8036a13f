#include "studies/attribution/runs.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <tuple>

#include "simulation/run.hpp"

namespace dryfront {

namespace {

bool same(const Source& a, const Source& b) {
  return a.kind == b.kind && a.setting == b.setting && a.rms == b.rms && a.rated_load == b.rated_load &&
         a.peak_limit == b.peak_limit && a.current_limit == b.current_limit && a.load == b.load && a.power == b.power;
}

bool same_times(const Mode& a, const Mode& b) { return a.activation == b.activation && a.after == b.after; }

bool strike_alike(const Waveform& a, const Waveform& b) {
  constexpr int samples = 64;
  constexpr double round_off = 1e-12;
  if (std::abs(crest_factor(a) / crest_factor(b) - 1) > round_off) return false;
  for (int k = 0; k <= samples; ++k) {
    const double x = static_cast<double>(k) / samples;
    if (std::abs(striking_fraction(a, x) - striking_fraction(b, x)) > round_off) return false;
  }
  return true;
}

// What decides a run, so that equal ones are found.
struct Setting {
  bool is_second = false, own_source = false, own_times = false;
  Physics physics;

  auto key() const {
    // A eschar grows from spark heat alone.
    return std::make_tuple(is_second, own_source, own_times, physics.arcing, physics.eschar && physics.arcing,
                           physics.breakdown, physics.moisture);
  }
};

Setting setting_of(const Physics& physics, const std::vector<Mechanism>& players, Coalition coalition, bool is_second) {
  Setting setting;
  setting.is_second = is_second;
  setting.physics = physics;
  for (std::size_t k = 0; k < players.size(); ++k) {
    const bool on = (coalition >> k & 1U) != 0;
    switch (players[k]) {
      case Mechanism::source:
        setting.own_source = on && is_second;
        break;
      case Mechanism::arcing:
        setting.physics.arcing = on;
        break;
      case Mechanism::eschar:
        setting.physics.eschar = on;
        break;
      case Mechanism::breakdown:
        setting.physics.breakdown = on;
        break;
      case Mechanism::moisture:
        setting.physics.moisture = on;
        break;
      case Mechanism::activation:
        setting.own_times = on && is_second;
        break;
    }
  }
  return setting;
}

Case case_of(const Case& c, const Mode& first, const Mode& second, const Setting& setting) {
  Case alone = c;
  alone.physics = setting.physics;
  alone.modes = {setting.is_second ? second : first};
  if (setting.is_second) {
    Mode& mode = alone.modes[0];
    if (!setting.own_source) mode.source = lent_source(first, second);
    if (!setting.own_times) {
      mode.activation = first.activation;
      mode.after = first.after;
    }
  }
  return alone;
}

std::string named(const std::vector<Mechanism>& players, Coalition coalition) {
  std::string text;
  for (std::size_t k = 0; k < players.size(); ++k) {
    if ((coalition >> k & 1U) == 0) continue;
    text += (text.empty() ? "" : ", ") + std::string(word(players[k]));
  }
  return text.empty() ? "none" : text;
}

}  // namespace

std::string_view word(Mechanism mechanism) {
  switch (mechanism) {
    case Mechanism::source:
      return "source";
    case Mechanism::arcing:
      return "arcing";
    case Mechanism::eschar:
      return "eschar";
    case Mechanism::breakdown:
      return "breakdown";
    case Mechanism::moisture:
      return "re-wetting";
    case Mechanism::activation:
      return "activation";
  }
  return "";
}

bool alike(const Mode& first, const Mode& second) {
  return same(first.source, second.source) && same_times(first, second) &&
         strike_alike(first.waveform, second.waveform);
}

std::vector<Mechanism> mechanisms_between(const Case& c, const Mode& first, const Mode& second) {
  std::vector<Mechanism> players{Mechanism::source};
  if (c.physics.arcing) players.push_back(Mechanism::arcing);
  if (c.physics.eschar) players.push_back(Mechanism::eschar);
  if (c.physics.breakdown) players.push_back(Mechanism::breakdown);
  if (c.physics.moisture) players.push_back(Mechanism::moisture);
  if (!same_times(first, second)) players.push_back(Mechanism::activation);
  return players;
}

Source lent_source(const Mode& lender, const Mode& borrower) {
  Source source = lender.source;
  const double lenders = crest_factor(lender.waveform);
  const double borrowers = crest_factor(borrower.waveform);
  if (lenders != borrowers) source.peak_limit *= borrowers / lenders;
  return source;
}

Case coalition_case(const Case& c, const Mode& first, const Mode& second, const std::vector<Mechanism>& players,
                    Coalition coalition, bool is_second) {
  return case_of(c, first, second, setting_of(c.physics, players, coalition, is_second));
}

CoalitionRuns coalition_runs(const Case& c, const Mode& first, const Mode& second, const AttributionWork& work) {
  CoalitionRuns runs;
  runs.players = mechanisms_between(c, first, second);
  const Coalition coalitions = Coalition{1} << runs.players.size();
  const bool same_source = same(lent_source(first, second), second.source);

  std::map<decltype(Setting{}.key()), std::size_t> known;
  std::vector<std::pair<Coalition, bool>> todo;
  for (const bool is_second : {false, true}) {
    for (Coalition coalition = 0; coalition < coalitions; ++coalition) {
      Setting setting = setting_of(c.physics, runs.players, coalition, is_second);
      if (same_source) setting.own_source = false;
      const auto [place, is_new] = known.try_emplace(setting.key(), todo.size());
      if (is_new) todo.emplace_back(coalition, is_second);
      (is_second ? runs.of_second : runs.of_first).push_back(place->second);
    }
  }

  const Grid grid = case_grid(c);
  runs.run.resize(todo.size());
  std::vector<std::exception_ptr> failure(todo.size());
  std::atomic<std::size_t> next = 0;
  std::atomic<bool> broken = false;
  std::mutex progress;
  std::size_t done = 0;
  const auto worker = [&] {
    for (std::size_t k = next++; k < todo.size() && !broken; k = next++) {
      const auto [coalition, is_second] = todo[k];
      try {
        const Case alone = coalition_case(c, first, second, runs.players, coalition, is_second);
        Observer observer;
        observer.stop = work.stop;
        runs.run[k] = std::move(run(alone, grid, observer, 1).front());
        const std::lock_guard lock(progress);
        ++done;
        if (work.on_progress) work.on_progress(done, todo.size());
      } catch (const NumericalFailure& error) {
        failure[k] = std::make_exception_ptr(
            NumericalFailure(std::string(error.what()) + "; mechanisms on: " + named(runs.players, coalition) +
                             "; another resolution may get past it (--fine, or --set grid.fine_mm=...)"));
        broken = true;
      } catch (...) {  // rethrown below: an exception may not leave a thread
        failure[k] = std::current_exception();
        broken = true;
      }
    }
  };
  {
    std::vector<std::jthread> workers;
    const auto count = std::min(todo.size(), static_cast<std::size_t>(std::max(1, work.threads)));
    for (std::size_t k = 1; k < count; ++k) workers.emplace_back(worker);
    worker();
  }
  for (const std::exception_ptr& f : failure) {
    if (f) std::rethrow_exception(f);
  }
  return runs;
}

}  // namespace dryfront
