#include "studies/search/finder.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "simulation/run.hpp"
#include "small_case.hpp"
#include "studies/search/basis.hpp"

using namespace dryfront;

namespace {

Case rough_case() {
  Case c = small_case();
  c.grading = {3e-4, 1.4, 4e-3};
  c.time.tolerance = 4;
  c.output.frames = 1;
  return c;
}

double depth_again(const Case& c, const Mode& mode) { return run_alone(c, case_grid(c), mode, {}).effects[0].depth; }

}  // namespace

TEST_CASE("finder: a root of a function known beforehand, with its bracket") {
  Search search;
  search.function = [](double x) { return x * x; };
  search.wanted = 2;
  search.tolerance = 1e-9;
  search.from = 0.1;
  search.to = 50;
  const Found found = find_rising(search);
  CHECK(found.value == Approx(std::sqrt(2.0)).epsilon(1e-9));
  CHECK(found.lower <= found.value);
  CHECK(found.upper >= found.value);
  CHECK(found.upper / found.lower < 1.3);
  CHECK(found.runs < 25);
}

TEST_CASE("finder: the smallest of two roots, and what it cannot find it says") {
  Search search;
  search.wanted = 0.5;
  search.from = 0.1;
  search.to = 10;
  search.function = [](double x) { return std::sin(x); };
  CHECK(find_rising(search).value == Approx(std::asin(0.5)).epsilon(2e-3));
  search.wanted = 1.5;
  CHECK_THROWS_WITH(find_rising(search), Catch::Contains("up to 10, tried in steps of 25 %, it is 0.99"));
  search.wanted = 0.01;
  CHECK_THROWS_WITH(find_rising(search), Catch::Contains("at 0.1, the lowest"));
  search.wanted = 0.5;
  search.function = [](double x) { return x < 2 ? 0.0 : 1.0; };
  CHECK_THROWS_WITH(find_rising(search), Catch::Contains("it jumps from 0 to 1"));
}

TEST_CASE("finder: the setting found reaches the wanted depth within 1 % when run again") {
  const Case c = rough_case();
  for (std::size_t k = 0; k < 2; ++k) {
    const Found found = find_setting(c, case_grid(c), k, 0, 0.8e-3, {});
    Mode mode = c.modes[k];
    mode.source = with_setting(mode.source, found.value);
    CHECK(depth_again(c, mode) == Approx(0.8e-3).epsilon(0.01));
  }
}

TEST_CASE("finder: the activation found reaches the wanted depth within 1 % when run again") {
  const Case c = rough_case();
  const Found found = find_activation(c, case_grid(c), 0, 0, 1e-3, 60, {});
  Mode mode = c.modes[0];
  mode.activation = found.value;
  CHECK(depth_again(c, mode) == Approx(1e-3).epsilon(0.01));
  CHECK_THROWS_AS(find_activation(c, case_grid(c), 0, 0, 25e-3, 5, {}), NotFound);
}

TEST_CASE("finder: the largest setting below striking does not strike, the one above does") {
  const Case c = rough_case();
  const Found found = find_setting_below_arcing(c, case_grid(c), 1, {});
  CHECK(found.upper <= 1.0021 * found.value);
  Mode mode = c.modes[1];
  mode.source = with_setting(mode.source, found.value);
  CHECK(std::isnan(run_alone(c, case_grid(c), mode, {}).arcing));
  mode.source = with_setting(mode.source, found.upper);
  CHECK_FALSE(std::isnan(run_alone(c, case_grid(c), mode, {}).arcing));

  Case off = c;
  off.physics.arcing = false;
  CHECK_THROWS_AS(find_setting_below_arcing(off, case_grid(off), 1, {}), NotFound);
}

TEST_CASE("finder: a setting scales a table, and is the rms of a fixed voltage") {
  Source table;
  table.kind = SourceKind::table;
  table.setting = 10;
  table.load = {100, 1000};
  table.power = {10, 5};
  CHECK(with_setting(table, 30).power == std::vector<double>{30, 15});
  Source voltage;
  voltage.kind = SourceKind::voltage;
  voltage.rms = 40;
  CHECK(setting_of(with_setting(voltage, 50)) == 50);
  CHECK(std::string(setting_key(voltage)) == "rms_V");
}

TEST_CASE("finder: a stopped search says so") {
  const Case c = rough_case();
  const std::atomic<bool> stop = true;
  SearchWork work;
  work.stop = &stop;
  CHECK_THROWS_AS(find_setting(c, case_grid(c), 0, 0, 0.8e-3, work), Stopped);
}
