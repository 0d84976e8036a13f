#include "simulation/run.hpp"

#include <omp.h>

#include <algorithm>
#include <cmath>
#include <exception>
#include <string>

#include "simulation/recorder.hpp"
#include "simulation/step.hpp"
#include "simulation/step_control.hpp"

namespace dryfront {

namespace {

// A moment that a step must end at.
struct Event {
  Ticks time = 0;
  bool frame = false;
  bool switch_off = false;
};

// Frames at equal spacing, the switch of the current, the end; in order, each moment once.
std::vector<Event> events_of(const Mode& mode, int frames) {
  const auto ticks = [](double time) { return static_cast<Ticks>(std::llround(time * ticks_per_second)); };
  const Ticks end = ticks(mode.activation) + ticks(mode.after);
  std::vector<Event> events{{ticks(mode.activation), false, true}, {end, true, false}};
  for (Ticks k = 1; k < frames; ++k) events.push_back({end / frames * k + end % frames * k / frames, true, false});
  std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.time < b.time; });
  std::vector<Event> merged;
  for (const Event& event : events) {
    if (merged.empty() || merged.back().time != event.time) {
      merged.push_back(event);
    } else {
      merged.back().frame = merged.back().frame || event.frame;
      merged.back().switch_off = merged.back().switch_off || event.switch_off;
    }
  }
  return merged;
}

std::string place_of_failure(const Mode& mode, const State& state, const std::string& what, double residual) {
  return "mode '" + mode.name + "', t = " + std::to_string(seconds(state.time)) + " s: " + what + " (residual " +
         std::to_string(residual) + ")";
}

void require_finite(const Mode& mode, const Grid& grid, const State& state) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (std::size_t c = 0; c < state.temperature.size(); ++c) {
    if (std::isfinite(state.temperature[c]) && std::isfinite(state.water[c])) continue;
    throw NumericalFailure(place_of_failure(
        mode, state,
        "a temperature or water content is no longer finite at r = " + std::to_string(1e3 * grid.r()[c % columns]) +
            " mm, z = " + std::to_string(1e3 * grid.z()[c / columns]) + " mm",
        state.temperature[c]));
  }
}

// The time loop of one mode.
ModeRecord run_mode(const Case& c, const Grid& grid, int number, const Observer& observer) {
  const Mode& mode = c.modes[static_cast<std::size_t>(number)];
  ModeStepper stepper(c, grid, mode);
  Recorder recorder(c, grid, mode);
  StepControl control(c.time.tolerance, stepper.longest_step());
  State state = stepper.initial_state();
  bool current_on = mode.activation > 0;
  if (!stepper.switch_current(state, current_on)) {
    throw NumericalFailure(
        place_of_failure(mode, state, "charge did not converge at the start", state.electric.residual));
  }
  const State start = state;
  State next = state;
  recorder.add(stepper, state, current_on);
  if (observer.frame) observer.frame(number, recorder.frame(state));

  const std::vector<Event> events = events_of(mode, c.output.frames);
  const Ticks end = events.back().time;
  const auto stopped = [&] { return observer.stop != nullptr && observer.stop->load(); };
  control.restart();
  Ticks fresh_at = state.time;  // when the electric state was last found for the fields as they are
  for (const Event& event : events) {
    while (state.time < event.time && !stopped()) {
      const double left = seconds(event.time - state.time);
      const auto parts = static_cast<Ticks>(std::ceil(left / control.wanted() - 1e-9));
      const Ticks duration = (event.time - state.time) / std::max<Ticks>(1, parts);
      const double length = seconds(duration);
      const StepReport report = stepper.step(state, duration, next);
      if (!report.converged || !control.accept(report.error)) {
        ++recorder.record().rejected_steps;
        if (fresh_at != state.time) {
          fresh_at = state.time;
          if (!stepper.renew_current(state)) {
            throw NumericalFailure(place_of_failure(mode, state, "charge did not converge", state.electric.residual));
          }
          recorder.renew(state);
        }
        const double wanted = report.converged ? control.rejected(length, report.error) : control.failed(length);
        if (!(wanted > StepControl::shortest)) {
          throw NumericalFailure(place_of_failure(
              mode, state,
              report.converged ? "the time step shrank to nothing" : std::string(report.failed) + " did not converge",
              report.converged ? report.error : report.residual));
        }
        continue;
      }
      std::swap(state, next);
      require_finite(mode, grid, state);
      control.accepted(length, report.error);
      recorder.add_step(state, report.ledger);
      recorder.add(stepper, state, current_on);
      if (observer.progress) observer.progress(number, seconds(state.time), seconds(end));
    }
    if (stopped()) break;
    if (event.frame && observer.frame) observer.frame(number, recorder.frame(state));
    if (event.switch_off && event.time < end) {
      current_on = false;
      if (!stepper.switch_current(state, false)) {
        throw NumericalFailure(
            place_of_failure(mode, state, "charge did not converge after the switch", state.electric.residual));
      }
      recorder.add(stepper, state, false);
      control.restart();
    }
  }
  return recorder.finish(stepper, start, state, !stopped());
}

}  // namespace

Grid case_grid(const Case& c) {
  const Electrode& e = c.electrode;
  const Specimen& s = c.specimen;
  std::vector<double> r_stops, r_marks, z_stops, z_marks{0.0};
  switch (e.shape) {
    case ElectrodeShape::ring:
      r_marks = r_stops = {e.inner_radius, e.radius};
      break;
    case ElectrodeShape::disc:
      r_marks = r_stops = {e.radius};
      break;
    case ElectrodeShape::rod:
      r_marks = r_stops = {e.radius};
      z_stops = {e.length};
      z_marks = {0.0, e.length};
      break;
    case ElectrodeShape::dome: {
      // The sphere's surface crosses the grid everywhere below the press, so the marks lie close there.
      const double reach = std::sqrt(e.press * (2 * e.radius - e.press));
      constexpr int close = 16;
      for (int k = 0; k <= close; ++k) r_marks.push_back(reach * k / close);
      for (int k = 1; k <= close; ++k) z_marks.push_back(e.press * k / close);
      r_stops = {reach};
      break;
    }
  }
  if (s.bottom_voltage == FarVoltage::pad) {
    r_stops.push_back(s.pad_radius);
    r_marks.push_back(s.pad_radius);
    z_marks.push_back(s.depth);
    if (s.pad_inner_radius > 0) {
      r_stops.push_back(s.pad_inner_radius);
      r_marks.push_back(s.pad_inner_radius);
    }
  }
  double z = 0;
  for (std::size_t k = 0; k + 1 < s.layers.size(); ++k) {
    z += s.layers[k].thickness;
    z_stops.push_back(z);
    z_marks.push_back(z);
  }
  return Grid(graded_faces(0, s.radius, r_stops, r_marks, c.grading),
              graded_faces(0, s.depth, z_stops, z_marks, c.grading));
}

std::vector<ModeRecord> run(const Case& c, const Grid& grid, const Observer& observer, int threads) {
  const int modes = static_cast<int>(c.modes.size());
  std::vector<ModeRecord> records(c.modes.size());
  std::vector<std::exception_ptr> failure(c.modes.size());
#pragma omp parallel for num_threads(std::max(1, std::min(threads, modes))) schedule(dynamic, 1)
  for (int k = 0; k < modes; ++k) {
    try {
      records[static_cast<std::size_t>(k)] = run_mode(c, grid, k, observer);
    } catch (...) {  // rethrown below: an exception may not leave a parallel region
      failure[static_cast<std::size_t>(k)] = std::current_exception();
    }
  }
  for (const std::exception_ptr& f : failure) {
    if (f) std::rethrow_exception(f);
  }
  return records;
}

LoadAtStart load_at_start(const Case& c, const Grid& grid, int mode) {
  ModeStepper stepper(c, grid, c.modes[static_cast<std::size_t>(mode)]);
  State state = stepper.initial_state();
  if (!stepper.switch_current(state, true)) {
    throw NumericalFailure(place_of_failure(c.modes[static_cast<std::size_t>(mode)], state,
                                            "charge did not converge at the start", state.electric.residual));
  }
  return {state.electric.resistance, state.electric.rms, state.electric.power, state.electric.arcing_share};
}

}  // namespace dryfront
