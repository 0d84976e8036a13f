#include <time.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <fstream>
#include <latch>
#include <map>
#include <mutex>
#include <sstream>
#include <thread>

#include "case_file_sample.hpp"
#include "files/file_error.hpp"
#include "plan_sample.hpp"
#include "studies/sweep/merge.hpp"
#include "studies/sweep/sweep.hpp"

using namespace dryfront;

namespace {

const std::string two_designs = R"([[design]]
name = "map"
kind = "grid"
axes = ["setting", "contact"]
[[design]]
name = "spread"
kind = "latin_hypercube"
points = 60
)";
constexpr std::uint64_t two_designs_points = 66;

// A row whose numbers follow from its settings alone, in place of a simulation.
SweepRow made_up_row(std::uint64_t point, const std::vector<AxisSetting>& settings, std::size_t columns) {
  SweepRow row;
  row.point = point;
  row.values.assign(columns, 0.0);
  for (std::size_t k = 0; k < columns; ++k) {
    const double x = std::isnan(settings[k % 2].number) ? 1 : settings[k % 2].number;
    row.values[k] = std::sin(static_cast<double>(k) + x);
  }
  if (point % 11 == 3) {
    row.status = RowStatus::numerical_failure;
    row.reason = "made up";
    row.values.assign(columns, not_a_number);
  }
  return row;
}

struct Setup {
  explicit Setup(const std::string& designs = two_designs) : plan(sample_plan_with(designs)), scratch("sweep") {
    manifest = open_folder(scratch.path(), plan, "plan.toml", {"1", "abc"}, false, "now");
    columns = result_columns(plan).size();
    work.folder = scratch.path();
    work.plan_hash = std::stoull(manifest.plan_hash, nullptr, 16);
    work.columns = static_cast<std::uint32_t>(columns);
    work.compute = [this](std::uint64_t point, const std::vector<AxisSetting>& settings) {
      const std::lock_guard lock(mutex);
      ++computed[point];
      return made_up_row(point, settings, columns);
    };
  }

  std::string merged() {
    merge_sweep(work.folder, plan, manifest, {}, nullptr);
    std::ostringstream text;
    text << std::ifstream(work.folder / "table.h5", std::ios::binary).rdbuf();
    text << std::ifstream(work.folder / "table.csv", std::ios::binary).rdbuf();
    return text.str();
  }

  Plan plan;
  ScratchDirectory scratch;
  Manifest manifest;
  std::size_t columns = 0;
  SweepWork work;
  std::mutex mutex;
  std::map<std::uint64_t, int> computed;
};

double cpu_seconds(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

TEST_CASE("every point is computed once and failures do not stop the rest", "[sweep]") {
  Setup setup;
  setup.work.threads = 3;
  const SweepProgress reached = run_sweep(setup.plan, setup.work);
  CHECK(reached.planned == two_designs_points);
  CHECK(reached.computed == two_designs_points);
  CHECK(reached.failed == 6);
  CHECK(setup.computed.size() == two_designs_points);
  for (const auto& [point, times] : setup.computed) CHECK(times == 1);
}

TEST_CASE("the table does not depend on threads, shards or interruptions", "[sweep]") {
  Setup plain;
  run_sweep(plain.plan, plain.work);
  const std::string wanted = plain.merged();

  SECTION("threads") {
    Setup other;
    other.work.threads = 7;
    run_sweep(other.plan, other.work);
    CHECK(other.merged() == wanted);
  }
  SECTION("shards, the last one first") {
    Setup other;
    for (std::uint32_t shard = 5; shard >= 1; --shard) {
      other.work.shard = {shard, 5};
      run_sweep(other.plan, other.work);
    }
    CHECK(other.merged() == wanted);
    for (const auto& [point, times] : other.computed) CHECK(times == 1);
  }
  SECTION("another division half way") {
    Setup other;
    other.work.shard = {2, 3};
    run_sweep(other.plan, other.work);
    for (std::uint32_t shard = 1; shard <= 4; ++shard) {
      other.work.shard = {shard, 4};
      run_sweep(other.plan, other.work);
    }
    CHECK(other.merged() == wanted);
    for (const auto& [point, times] : other.computed) CHECK(times == 1);
  }
  SECTION("stopped and taken up again") {
    Setup other;
    std::atomic<bool> stop = false;
    const auto compute = other.work.compute;
    other.work.stop = &stop;
    other.work.compute = [&](std::uint64_t point, const std::vector<AxisSetting>& settings) {
      if (other.computed.size() == 20) {
        stop = true;
        return SweepRow{};  // given up
      }
      return compute(point, settings);
    };
    const SweepProgress reached = run_sweep(other.plan, other.work);
    CHECK(reached.computed == 20);
    CHECK_THROWS_WITH(merge_sweep(other.work.folder, other.plan, other.manifest, {}, nullptr),
                      Catch::Contains("46 of 66 points have no row yet"));
    stop = false;
    other.work.compute = compute;
    const SweepProgress again = run_sweep(other.plan, other.work);
    CHECK(again.earlier == 20);
    CHECK(again.computed == two_designs_points - 20);
    CHECK(again.failed == 6);
    CHECK(other.merged() == wanted);
  }
}

TEST_CASE("what is thrown while computing ends the sweep and loses no finished row", "[sweep]") {
  Setup setup;
  setup.work.threads = 2;
  const auto compute = setup.work.compute;
  // Equal lengths, so points come in order: while one worker has point 30 the other comes to 31, which ends after the
  // throw.
  std::latch both(2);
  setup.work.compute = [&](std::uint64_t point, const std::vector<AxisSetting>& settings) {
    if (point == 30 || point == 31) both.arrive_and_wait();
    if (point == 30) throw FileError("kept.h5", "no space");
    if (point == 31) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    return compute(point, settings);
  };
  CHECK_THROWS_AS(run_sweep(setup.plan, setup.work), FileError);
  setup.work.compute = compute;
  const SweepProgress again = run_sweep(setup.plan, setup.work);
  CHECK(again.earlier == 31);  // 0 to 29, and 31
  CHECK(again.computed == two_designs_points - 31);
  for (const auto& [point, times] : setup.computed) CHECK(times == 1);
}

TEST_CASE("the longest runs come first", "[sweep]") {
  const std::string head = replaced(sample_plan, "mode.*.source.setting_W", "mode.*.activation_s");
  const Plan plan = sample_plan_with(two_designs, head);
  std::vector<double> lengths;
  PlanPoints points(plan);
  for (std::uint64_t k = 0; k < points.size(); ++k) lengths.push_back(expected_length(plan, points.at(k)));
  CHECK(lengths[4] == 3 * lengths[0]);  // activation 30 against 10

  Setup setup;
  setup.plan = plan;
  setup.work.threads = 1;
  std::vector<double> order;
  const auto compute = setup.work.compute;
  setup.work.compute = [&](std::uint64_t point, const std::vector<AxisSetting>& settings) {
    order.push_back(settings[0].number);
    return compute(point, settings);
  };
  run_sweep(setup.plan, setup.work);
  CHECK(std::is_sorted(order.rbegin(), order.rend()));
}

TEST_CASE("the runner itself costs under 2 % of runs of 0.1 s", "[sweep]") {
  Setup setup("[[design]]\nname = \"d\"\nkind = \"saltelli\"\npoints = 5\n");  // 30 points
  double inside = 0;                                                           // processor seconds of the runs
  constexpr double run_length = 0.1;
  setup.work.compute = [&](std::uint64_t point, const std::vector<AxisSetting>& settings) {
    const double start = cpu_seconds(CLOCK_THREAD_CPUTIME_ID);
    while (cpu_seconds(CLOCK_THREAD_CPUTIME_ID) - start < run_length) {
    }
    SweepRow row = made_up_row(point, settings, setup.columns);
    inside += cpu_seconds(CLOCK_THREAD_CPUTIME_ID) - start;
    return row;
  };
  // The processor's time and not the wall's: it does not depend on what else the machine does.
  const double start = cpu_seconds(CLOCK_PROCESS_CPUTIME_ID);
  run_sweep(setup.plan, setup.work);
  const double all = cpu_seconds(CLOCK_PROCESS_CPUTIME_ID) - start;
  WARN("runner: " << 100 * (all - inside) / inside << " % of runs of 0.1 s");
  CHECK(all - inside < 0.02 * inside);
}

TEST_CASE("two workers are kept busy at least 90 % of the time", "[sweep]") {
  Setup setup("[[design]]\nname = \"d\"\nkind = \"saltelli\"\npoints = 5\n");  // 30 points
  setup.work.threads = 2;
  using Clock = std::chrono::steady_clock;
  const auto since = [](Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
  };
  // Sleeping runs: what is measured is how soon a worker gets its next run. A sleep that a loaded machine lets last
  // longer counts as the longer run it is.
  double inside = 0;
  setup.work.compute = [&](std::uint64_t point, const std::vector<AxisSetting>& settings) {
    const Clock::time_point start = Clock::now();
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    SweepRow row = made_up_row(point, settings, setup.columns);
    const std::lock_guard lock(setup.mutex);
    inside += since(start);
    return row;
  };
  const Clock::time_point start = Clock::now();
  run_sweep(setup.plan, setup.work);
  const double wall = since(start);
  WARN("two workers: busy " << 100 * inside / (2 * wall) << " % of the time");
  CHECK(inside > 0.9 * 2 * wall);
}

TEST_CASE("a folder is gone on with only for the same plan and program", "[sweep]") {
  Setup setup;
  CHECK_THROWS_WITH(open_folder(setup.work.folder, setup.plan, "plan.toml", {"1", "abc"}, false, "now"),
                    Catch::Contains("holds a sweep already"));
  CHECK_NOTHROW(open_folder(setup.work.folder, setup.plan, "plan.toml", {"1", "abc"}, true, "now"));
  CHECK_THROWS_WITH(open_folder(setup.work.folder, setup.plan, "plan.toml", {"1", "abd"}, true, "now"),
                    Catch::Contains("- program 1 (abc)") && Catch::Contains("+ program 1 (abd)"));
  const Plan changed = sample_plan_with(two_designs, replaced(sample_plan, "high = 40", "high = 45"));
  CHECK_THROWS_WITH(open_folder(setup.work.folder, changed, "plan.toml", {"1", "abc"}, true, "now"),
                    Catch::Contains("- axis spark") && Catch::Contains("10 40 20") && Catch::Contains("10 45 20"));
  CHECK(read_manifest(setup.work.folder).decides == setup.manifest.decides);
  CHECK(plan_of(read_manifest(setup.work.folder), sample_tissues).canonical == setup.plan.canonical);
}

TEST_CASE("the difference of two texts by lines", "[sweep]") {
  CHECK(line_difference("a\nb\nc\n", "a\nx\nc\nc\n") == "    - b\n    + x\n    + c");
  CHECK(line_difference("a\nb\nc\nd\n", "", 2) == "    - a\n    - b\n    and 2 lines more");
}
