// A marginal contact at a high setting dries out within seconds and goes on under sparks; so does a perfect one at a
// fixed voltage. The load then changes by percents within microseconds of the fields' change, and the steps have to get
// through (elementary: the run reaches its end and closes its balances).
#include <catch2/catch.hpp>

#include "main_case.hpp"
#include "simulation/run.hpp"

using namespace dryfront;

namespace {

void require_whole(const Case& c) {
  for (const ModeRecord& record : run(c, case_grid(c), {}, 2)) {
    CAPTURE(record.name);
    CHECK(record.completed);
    CHECK(record.ledger.electric <= 1e-6);
    CHECK(record.ledger.energy <= 1e-4);
    CHECK(record.ledger.water <= 1e-4);
    CHECK(record.ledger.latent > 0);
  }
}

}  // namespace

TEST_CASE("a marginal contact at a high setting runs through its dry-out") {
  require_whole(main_case(6, {"mode.*.source.setting_W=84"}));
}

TEST_CASE("a perfect contact at a fixed voltage runs through its dry-out") {
  Case c = main_case(8, {"electrode.contact=\"perfect\"", "electrode.radius_mm=2", "physics.moisture=false"});
  c.modes.resize(1);
  c.modes[0].source.kind = SourceKind::voltage;
  c.modes[0].source.rms = 40;
  require_whole(c);
}
