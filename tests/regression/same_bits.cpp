// What must not change a single bit: the number of threads, a second run, and the waveform where nothing depends on it.
#include <catch2/catch.hpp>
#include <mutex>
#include <string>
#include <vector>

#include "main_case.hpp"
#include "simulation/run.hpp"

using namespace dryfront;

namespace {

struct Outcome {
  std::vector<ModeRecord> records;
  std::vector<Frame> last_frames;
};

Outcome outcome(const Case& c, int threads) {
  const Grid grid = case_grid(c);
  Outcome result;
  result.last_frames.resize(c.modes.size());
  Observer observer;
  std::mutex guard;
  observer.frame = [&](int mode, const Frame& frame) {
    const std::lock_guard lock(guard);
    result.last_frames[static_cast<std::size_t>(mode)] = frame;
  };
  result.records = run(c, grid, observer, threads);
  return result;
}

void require_same(const ModeRecord& a, const ModeRecord& b) {
  CAPTURE(a.name, b.name);
  CHECK(a.steps == b.steps);
  CHECK(a.delivered == b.delivered);
  CHECK(a.surface == b.surface);
  CHECK(a.peak_temperature == b.peak_temperature);
  const Trace &s = a.trace, &t = b.trace;
  CHECK(s.time == t.time);
  CHECK(s.resistance == t.resistance);
  CHECK(s.power == t.power);
  CHECK(s.rms == t.rms);
  CHECK(s.current == t.current);
  CHECK(s.arcing_share == t.arcing_share);
  CHECK(s.surface == t.surface);
  CHECK(s.electrode == t.electrode);
  CHECK(s.wet_share == t.wet_share);
  CHECK(s.eschar_share == t.eschar_share);
  CHECK(s.greatest_depth == t.greatest_depth);
  REQUIRE(a.effects.size() == b.effects.size());
  for (std::size_t e = 0; e < a.effects.size(); ++e) {
    CHECK(a.effects[e].depth == b.effects[e].depth);
    CHECK(a.effects[e].axis_depth == b.effects[e].axis_depth);
    CHECK(a.effects[e].half_width == b.effects[e].half_width);
    CHECK(a.effects[e].volume == b.effects[e].volume);
  }
  REQUIRE(a.probes.size() == b.probes.size());
  for (std::size_t p = 0; p < a.probes.size(); ++p) CHECK(a.probes[p].temperature == b.probes[p].temperature);
}

void require_same(const Frame& a, const Frame& b) {
  CHECK(a.time == b.time);
  CHECK(a.temperature == b.temperature);
  CHECK(a.water == b.water);
  CHECK(a.omega == b.omega);
  CHECK(a.cem43 == b.cem43);
  CHECK(a.peak_temperature == b.peak_temperature);
  CHECK(a.heating == b.heating);
  CHECK(a.potential == b.potential);
  CHECK(a.conductivity == b.conductivity);
  CHECK(a.depth == b.depth);
}

}  // namespace

TEST_CASE("one thread, two threads and a second run give the same bits") {
  const Case c = main_case(3);  // dries out and strikes within the activation
  const Outcome one = outcome(c, 1), two = outcome(c, 2), again = outcome(c, 2);
  REQUIRE(one.records.size() == c.modes.size());
  for (std::size_t d = 0; d < c.modes.size(); ++d) {
    require_same(one.records[d], two.records[d]);
    require_same(one.records[d], again.records[d]);
    require_same(one.last_frames[d], two.last_frames[d]);
    require_same(one.last_frames[d], again.last_frames[d]);
    CHECK(one.last_frames[d].time == Approx(3.5));
  }
  CHECK(one.records[0].trace.power != one.records[3].trace.power);  // the comparison can tell modes apart
}

TEST_CASE("without striking, eschar and breakdown a waveform on the same source makes no difference") {
  Case c = main_case(3, {"physics.arcing=false", "physics.eschar=false", "physics.breakdown=false"});
  c.modes.erase(c.modes.begin() + 1);  // of the two continuous modes one is enough
  for (Mode& mode : c.modes) {
    mode.source = c.modes[0].source;
    mode.source.peak_limit = 0;  // a limit on the peak does depend on the waveform
  }
  const Outcome result = outcome(c, 2);
  CHECK(result.records[0].crest_factor < result.records[2].crest_factor / 3);
  CHECK(result.records[0].ledger.latent > 0);
  for (const std::size_t d : {1u, 2u}) {
    require_same(result.records[0], result.records[d]);
    require_same(result.last_frames[0], result.last_frames[d]);
  }
}
