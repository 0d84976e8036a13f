// The balances of the main case as the program reads it, over whole runs with everything in them: electric power in =
// volume + surface heating; energy in = stored + latent + lost; water initial = left + boiled (docs/model.md).
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "main_case.hpp"
#include "simulation/run.hpp"

using namespace dryfront;

TEST_CASE("the main case closes its balances while it boils, strikes and dries out") {
  const Case c = main_case(10);
  const Grid grid = case_grid(c);
  bool boiled = false, struck = false, dried_out = false, charred = false;
  for (const ModeRecord& record : run(c, grid, {}, 2)) {
    const LedgerRecord& ledger = record.ledger;
    CAPTURE(record.name, ledger.electric, ledger.energy, ledger.water);
    CHECK(record.completed);
    CHECK(ledger.electric <= 1e-6);
    CHECK(ledger.energy <= 1e-4);
    CHECK(ledger.water <= 1e-4);
    // The residuals follow from the terms.
    const double out = ledger.stored + ledger.latent + ledger.perfusion_out + ledger.surface_out +
                       ledger.electrode_out + ledger.far_out + ledger.spark_out + ledger.steam_out +
                       ledger.pressed_heat_out;
    CHECK(ledger.energy ==
          Approx(std::abs(ledger.electric_in + ledger.metabolic_in - out) / ledger.electric_in).margin(1e-9));
    CHECK(ledger.latent == Approx(ledger.water_boiled * c.specimen.layers[0].tissue.latent).epsilon(1e-9));
    CHECK(ledger.latent > 0);
    boiled = boiled || ledger.latent > 0.05 * ledger.electric_in;
    CHECK(ledger.surface_in < ledger.electric_in);
    double trace_energy = 0;
    const Trace& t = record.trace;
    for (std::size_t k = 1; k < t.time.size(); ++k) {
      trace_energy += 0.5 * (t.power[k] + t.power[k - 1]) * (t.time[k] - t.time[k - 1]);
    }
    // Where a step was refused, the trace holds the power found anew, the energy that of the step before as well:
    // measured 5.7e-4 at most.
    CHECK(trace_energy == Approx(record.delivered).epsilon(record.rejected_steps == 0 ? 1e-6 : 8e-4));
    struck = struck || *std::max_element(t.arcing_share.begin(), t.arcing_share.end()) > 0.1;
    dried_out = dried_out || !std::isnan(record.dry_out);
    charred = charred || *std::max_element(t.eschar_share.begin(), t.eschar_share.end()) > 0.5;
  }
  CHECK(boiled);
  CHECK(struck);
  CHECK(dried_out);
  CHECK(charred);
}
