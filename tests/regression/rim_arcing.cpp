// A small face with a rounded edge under an interrupted current: it arcs beside the face while it is wet, and goes on
// so while it dries. Elementary: the balances close, threads change nothing, and where nothing can arc the switch does
// nothing.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "files/case/case_file.hpp"
#include "main_case.hpp"
#include "simulation/run.hpp"

using namespace dryfront;

namespace {

Case rim_case(std::vector<std::string> more) {
  std::vector<std::string> overrides{"mode.*.activation_s=2", "grid.fine_mm=0.1", "grid.growth=1.2",
                                     "grid.coarse_mm=3"};
  overrides.insert(overrides.end(), more.begin(), more.end());
  return read_case(source_tree() / "cases" / "rim_arcing.toml", overrides, source_tree() / "cases" / "tissue");
}

ModeRecord recorded(const Case& c, int threads) { return run(c, case_grid(c), {}, threads)[0]; }

void require_same(const ModeRecord& a, const ModeRecord& b) {
  CHECK(a.steps == b.steps);
  CHECK(a.delivered == b.delivered);
  CHECK(a.peak_temperature == b.peak_temperature);
  CHECK(a.trace.resistance == b.trace.resistance);
  CHECK(a.trace.arcing_share == b.trace.arcing_share);
  CHECK(a.effects[0].depth == b.effects[0].depth);
}

}  // namespace

TEST_CASE("a wet contact that arcs beside its face closes its balances") {
  for (const std::string shape : {"electrode.edge_radius_mm=0.5", "electrode.edge_radius_mm=0",
                                  "electrode={shape=\"dome\",radius_mm=2.5,press_mm=0.2}"}) {
    CAPTURE(shape);
    const ModeRecord on = recorded(rim_case({shape, "mode.*.source.setting_W=60"}), 1);
    CHECK(on.completed);
    CHECK(on.ledger.electric <= 1e-6);
    CHECK(on.ledger.energy <= 1e-4);
    CHECK(on.ledger.water <= 1e-4);
    CHECK(on.ledger.spark_out > 0);
  }
}

TEST_CASE("the contact is wet when arcing beside it begins, and without it nothing arcs then") {
  const ModeRecord on = recorded(rim_case({}), 1), off = recorded(rim_case({"physics.rim_arcing=false"}), 1);
  CHECK(on.trace.arcing_share.front() > arcing_from);
  CHECK(on.trace.wet_share.front() > 0.99);
  CHECK(off.trace.arcing_share.front() == 0);
}

TEST_CASE("arcing beside the contact gives the same bits on one and two threads and again") {
  Case c = rim_case({});
  c.modes.push_back(c.modes[0]);
  c.modes.back().name = "again";
  c.modes.back().label = "again";
  const Grid grid = case_grid(c);
  const std::vector<ModeRecord> one = run(c, grid, {}, 1), two = run(c, grid, {}, 2);
  require_same(one[0], one[1]);
  require_same(one[0], two[0]);
  require_same(one[0], two[1]);
}

TEST_CASE("the switch does nothing where no channel can land beside the contact") {
  for (const std::string without : {"physics.arcing=false", "electrode.contact=\"perfect\"",
                                    "electrode={radius_mm=1,contact=\"gap\",gap_mm=0.01}"}) {
    CAPTURE(without);
    require_same(recorded(rim_case({without}), 1), recorded(rim_case({without, "physics.rim_arcing=false"}), 1));
  }
}
