// Every check of `dryfront verify`, at its full effort: error and order, the order bounded on both sides.
#include "studies/verification/verification.hpp"

#include <catch2/catch.hpp>
#include <limits>
#include <set>
#include <stdexcept>

using namespace dryfront;

namespace {

void require_passed(const std::vector<VerificationCheck>& checks) {
  REQUIRE_FALSE(checks.empty());
  for (const VerificationCheck& check : checks) {
    DYNAMIC_SECTION(check.id << " " << check.title) {
      const std::vector<Finding> findings = check.run(Effort::full);
      REQUIRE_FALSE(findings.empty());
      for (const Finding& found : findings) {
        INFO(found.quantity << ": exact " << found.exact << ", computed " << found.computed << ", order " << found.order
                            << " (" << found.least_order << " to " << found.most_order << ")");
        CHECK(found.error <= found.allowed);
        CHECK(found.passed());
      }
    }
  }
}

}  // namespace

TEST_CASE("discs on half-space, cylinder and layers") { require_passed(electric_checks()); }
TEST_CASE("electrodes pressed in or inserted") { require_passed(electrode_shape_checks()); }
TEST_CASE("contact layer and source") { require_passed(contact_checks()); }
TEST_CASE("conduction of heat") { require_passed(heat_checks()); }
TEST_CASE("perfused tissue") { require_passed(bioheat_checks()); }
TEST_CASE("boil-off") { require_passed(boiling_checks()); }
TEST_CASE("moisture") { require_passed(moisture_checks()); }
TEST_CASE("damage") { require_passed(damage_checks()); }
TEST_CASE("waveforms") { require_passed(waveform_checks()); }
TEST_CASE("charge and heat coupled") { require_passed(coupled_checks()); }
TEST_CASE("manufactured solution") { require_passed(manufactured_checks()); }
TEST_CASE("bursts followed in time") { require_passed(burst_checks()); }
TEST_CASE("what a run reports") { require_passed(record_checks()); }

TEST_CASE("a check that misses, or is not a number, or has no order between its bounds, does not pass") {
  CHECK(finding("x", 2, 2.001, 1e-3).passed());
  CHECK_FALSE(finding("x", 2, 2.003, 1e-3).passed());
  CHECK_FALSE(finding("x", 2, std::numeric_limits<double>::quiet_NaN(), 1e-3).passed());
  CHECK_FALSE(finding("x", 0, 1, 1e-3).passed());
  CHECK(with_order(finding("x", 2, 2, 1e-3), 2, 1.8, 2.2).passed());
  CHECK_FALSE(with_order(finding("x", 2, 2, 1e-3), 1.7, 1.8, 2.2).passed());
  CHECK_FALSE(with_order(finding("x", 2, 2, 1e-3), 2.3, 1.8, 2.2).passed());
  CHECK_FALSE(with_order(finding("x", 2, 2, 1e-3), no_order, 1.8, 2.2).passed());
  VerifiedCheck empty;
  CHECK_FALSE(empty.passed());
  const auto verified =
      verify({{"broken", "", "", [](Effort) -> std::vector<Finding> { throw std::runtime_error("stopped"); }}},
             Effort::quick, 1);
  CHECK(verified[0].failure == "stopped");
  CHECK_FALSE(verified[0].passed());
  CHECK(observed_order({4, 1}) == Approx(2));
  CHECK(fitted_order({4, 2, 1}, {16, 4, 1}) == Approx(2));
}

TEST_CASE("every check has a name of its own and a source") {
  std::set<std::string> names;
  for (const VerificationCheck& check : verification_checks()) {
    CHECK(names.insert(check.id).second);
    CHECK_FALSE(check.title.empty());
    CHECK_FALSE(check.source.empty());
  }
}
