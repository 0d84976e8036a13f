#include "studies/parallel_runs.hpp"

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <stdexcept>
#include <string>
#include <vector>

using namespace dryfront;

TEST_CASE("parallel runs: each is called once, whatever the number of threads") {
  const int threads = GENERATE(0, 1, 3, 40);
  std::vector<int> called(17, 0);
  std::vector<std::size_t> reported;
  const auto report = [&](std::size_t done, std::size_t runs) {
    CHECK(runs == called.size());
    reported.push_back(done);
  };
  run_in_parallel(called.size(), {threads, nullptr, report}, [&](std::size_t k) { ++called[k]; });
  CHECK(called == std::vector<int>(17, 1));
  CHECK(reported.size() == called.size());
  CHECK(std::is_sorted(reported.begin(), reported.end()));
}

TEST_CASE("parallel runs: of several that throw the one of the least number is rethrown, and none is begun after it") {
  const int threads = GENERATE(1, 2, 8);
  std::atomic<int> begun = 0;
  const auto run = [&](std::size_t k) {
    ++begun;
    if (k >= 5) throw std::runtime_error(std::to_string(k));
  };
  CHECK_THROWS_WITH(run_in_parallel(1000, {threads}, run), "5");
  CHECK(begun <= 5 + threads);
}

TEST_CASE("parallel runs: none is begun once stop is set") {
  std::atomic<bool> stop = false;
  int called = 0;
  run_in_parallel(10, {1, &stop}, [&](std::size_t k) {
    ++called;
    stop = k == 3;
  });
  CHECK(called == 4);
  run_in_parallel(0, {2}, [](std::size_t) { FAIL("there is nothing to call"); });
}
