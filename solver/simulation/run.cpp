#include "simulation/run.hpp"

#include <omp.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <exception>
#include <string>
#include <utility>

#include "physics/electrode_shape.hpp"
#include "simulation/events.hpp"
#include "simulation/recorder.hpp"
#include "simulation/step.hpp"
#include "simulation/step_control.hpp"

namespace dryfront {

namespace {

// Six significant digits.
std::string number_text(double number) {
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), number, std::chars_format::general, 6).ptr;
  return {text.data(), end};
}

// "mode 'continuous', t = 1.25 s: charge did not converge at the start (relative change of the conductances: 2e-05)"
NumericalFailure failure_at(const Mode& mode, const State& state, const std::string& what, const std::string& measure,
                            double value) {
  return NumericalFailure("mode '" + mode.name + "', t = " + number_text(seconds(state.time)) + " s: " + what + " (" +
                          measure + ": " + number_text(value) + ")");
}

NumericalFailure failure_at(const Mode& mode, const State& state, const SolveFailure& failure, const char* when = "") {
  return failure_at(mode, state, std::string(failure.what) + " did not converge" + when, failure.measure,
                    failure.value);
}

void require_converged(const SolveFailure& failure, const Mode& mode, const State& state, const char* when = "") {
  if (failure.what != nullptr) throw failure_at(mode, state, failure, when);
}

void require_finite(const Mode& mode, const Grid& grid, const State& state) {
  const auto columns = static_cast<std::size_t>(grid.columns());
  const Fields& fields = state.fields;
  for (std::size_t c = 0; c < fields.temperature.size(); ++c) {
    if (std::isfinite(fields.temperature[c]) && std::isfinite(fields.water[c])) continue;
    throw failure_at(
        mode, state,
        "a temperature or water content is no longer finite at r = " + number_text(1e3 * grid.r()[c % columns]) +
            " mm, z = " + number_text(1e3 * grid.z()[c / columns]) + " mm",
        "temperature in C", fields.temperature[c]);
  }
}

// The longest step of at most the wanted length that divides the time to the event into equal parts.
Ticks duration_to(Ticks event, Ticks now, double wanted) {
  const auto parts = static_cast<Ticks>(std::ceil(seconds(event - now) / wanted - 1e-9));
  return (event - now) / std::max<Ticks>(1, parts);
}

// A controller looks at its probe several times within its time constant.
double longest_step(const Case& c, const Mode& mode) {
  constexpr double looks = 8;
  if (mode.source.kind != SourceKind::temperature) return c.time.longest;
  return std::min(c.time.longest, mode.source.reset_time / looks);
}

// One mode on its way through the events.
class ModeRun {
 public:
  ModeRun(const Case& c, const Grid& grid, int number, const Observer& observer)
      : mode_(c.modes[static_cast<std::size_t>(number)]),
        grid_(grid),
        number_(number),
        observer_(observer),
        stepper_(c, grid, mode_),
        recorder_(c, grid, mode_),
        control_(c.time.tolerance, longest_step(c, mode_)),
        events_(events_of(mode_, c.output.frames)),
        state_(stepper_.initial_state()),
        stored_at_start_(stepper_.stored(state_)) {}

  void begin();
  void go_on(const ModeCheckpoint& from);
  // The time loop; nothing is left to do for a mode that was complete.
  ModeRecord to_the_end();

 private:
  bool stopped() const { return observer_.stop != nullptr && observer_.stop->load(); }
  void give_frame();
  void accept(const StepReport& report, double length);
  void refuse(const StepReport& report, double length);
  void switch_off();

  const Mode& mode_;
  const Grid& grid_;
  int number_;
  const Observer& observer_;
  ModeStepper stepper_;
  Recorder recorder_;
  StepControl control_;
  std::vector<Event> events_;
  std::size_t event_ = 0;   // the next one
  std::size_t frames_ = 0;  // given so far
  State state_, next_;
  bool electric_fresh_ = true;  // found for the fields as they are, not predicted
  Stored stored_at_start_;
};

void ModeRun::begin() {
  require_converged(stepper_.switch_current(state_, mode_.activation > 0), mode_, state_, " at the start");
  recorder_.add(stepper_, state_);
  give_frame();
  control_.restart();
}

void ModeRun::go_on(const ModeCheckpoint& from) {
  state_ = from.state;
  recorder_.go_on(from.recording);
  control_.go_on(from.wanted_step);
  event_ = from.event;
  frames_ = from.frames;
  electric_fresh_ = from.electric_fresh;
}

ModeRecord ModeRun::to_the_end() {
  const Ticks end = events_.back().time;
  if (recorder_.recording().record.completed) return recorder_.recording().record;
  for (; event_ < events_.size(); ++event_) {
    const Event& event = events_[event_];
    while (state_.time < event.time && !stopped()) {
      const Ticks duration = duration_to(event.time, state_.time, control_.wanted());
      const StepReport report = stepper_.step(state_, duration, next_);
      if (report.converged() && control_.accept(report.error)) {
        accept(report, seconds(duration));
        if (observer_.progress) observer_.progress(number_, seconds(state_.time), seconds(end));
      } else {
        refuse(report, seconds(duration));
      }
    }
    if (stopped()) break;
    if (event.frame) give_frame();
    if (event.switch_off && event.time < end) switch_off();
  }
  const bool completed = event_ == events_.size();
  const ModeRecord record = recorder_.finished(stored_at_start_, stepper_.stored(state_), state_, completed);
  if (!completed && observer_.checkpoint) {
    observer_.checkpoint(number_, {recorder_.recording(), state_, event_, frames_, control_.wanted(), electric_fresh_});
  }
  return record;
}

void ModeRun::give_frame() {
  ++frames_;
  if (observer_.frame) observer_.frame(number_, recorder_.frame(state_));
}

void ModeRun::accept(const StepReport& report, double length) {
  std::swap(state_, next_);
  electric_fresh_ = false;
  require_finite(mode_, grid_, state_);
  control_.accepted(length, report.error);
  recorder_.add_step(state_, report.ledger);
  recorder_.add(stepper_, state_);
}

void ModeRun::refuse(const StepReport& report, double length) {
  recorder_.add_refused();
  if (!electric_fresh_) {
    electric_fresh_ = true;
    require_converged(stepper_.renew_current(state_), mode_, state_);
    recorder_.renew(state_);
  }
  const double wanted = report.converged() ? control_.rejected(length, report.error) : control_.failed(length);
  if (wanted > StepControl::shortest) return;
  require_converged(report.failure, mode_, state_);
  throw failure_at(mode_, state_, "the time step shrank to nothing, as where the power is far too great for the face",
                   "error of its prediction in K", report.error);
}

void ModeRun::switch_off() {
  require_converged(stepper_.switch_current(state_, false), mode_, state_, " after the switch");
  electric_fresh_ = true;
  recorder_.add(stepper_, state_);
  control_.restart();
}

}  // namespace

Grid case_grid(const Case& c) {
  const Specimen& s = c.specimen;
  auto [r_stops, r_marks, z_stops, z_marks, r_edges, z_edges] = electrode_marks(c.electrode);
  z_marks.insert(z_marks.begin(), 0.0);
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
  std::vector<double> r_face = graded_faces(0, s.radius, r_stops, r_marks, c.grading, r_edges);
  std::vector<double> z_face = graded_faces(0, s.depth, z_stops, z_marks, c.grading, z_edges);
  const bool plane = s.symmetry == Symmetry::plane;
  Grid grid = plane ? Grid(std::move(r_face), std::move(z_face), s.length) : Grid(std::move(r_face), std::move(z_face));
  return without_metal(std::move(grid), c.electrode);
}

std::vector<ModeRecord> run(const Case& c, const Grid& grid, const Observer& observer, int threads,
                            const std::vector<ModeCheckpoint>& from) {
  assert(from.empty() || from.size() == c.modes.size());
  const int modes = static_cast<int>(c.modes.size());
  std::vector<ModeRecord> records(c.modes.size());
  std::vector<std::exception_ptr> failure(c.modes.size());
#pragma omp parallel for num_threads(std::max(1, std::min(threads, modes))) schedule(dynamic, 1)
  for (int k = 0; k < modes; ++k) {
    try {
      ModeRun mode(c, grid, k, observer);
      if (from.empty()) {
        mode.begin();
      } else {
        mode.go_on(from[static_cast<std::size_t>(k)]);
      }
      records[static_cast<std::size_t>(k)] = mode.to_the_end();
    } catch (...) {  // rethrown below: an exception may not leave a parallel region
      failure[static_cast<std::size_t>(k)] = std::current_exception();
    }
  }
  for (const std::exception_ptr& f : failure) {
    if (f) std::rethrow_exception(f);
  }
  return records;
}

LoadAtStart load_at_start(const Case& c, const Grid& grid, int number) {
  const Mode& mode = c.modes[static_cast<std::size_t>(number)];
  ModeStepper stepper(c, grid, mode);
  State state = stepper.initial_state();
  require_converged(stepper.switch_current(state, true), mode, state, " at the start");
  return {state.electric.resistance, state.electric.rms, state.electric.power, state.electric.arcing_share};
}

}  // namespace dryfront
