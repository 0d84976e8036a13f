#include "studies/sweep/sweep.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>

#include "studies/parallel_runs.hpp"

namespace dryfront {

namespace {

using Clock = std::chrono::steady_clock;

constexpr auto between_looks = std::chrono::milliseconds(200);
constexpr auto between_synchronisations = std::chrono::seconds(1);

struct Task {
  std::uint64_t point = 0;
  std::vector<AxisSetting> settings;
};

// The points still to compute, the longest first within a group of neighbours: a long run at the very end would keep
// one thread busy and the others idle. Groups keep a plan of any size in bounded memory.
class TaskQueue {
 public:
  TaskQueue(const Plan& plan, const SweepWork& work, std::vector<bool> done)
      : plan_(plan), shard_(work.shard), points_(plan), done_(std::move(done)) {
    for (std::uint64_t point = 0; point < points_.size(); ++point) {
      if (belongs(point, shard_) && !points_.excluded(point)) ++planned_;
    }
  }

  std::uint64_t planned() const { return planned_; }

  std::optional<Task> take() {
    if (group_.empty()) fill();
    if (group_.empty()) return std::nullopt;
    Task task = std::move(group_.back());
    group_.pop_back();
    return task;
  }

 private:
  void fill() {
    constexpr std::size_t neighbours = 4096;
    std::vector<std::pair<double, Task>> found;
    for (; next_ < points_.size() && found.size() < neighbours; ++next_) {
      if (done_[next_] || !belongs(next_, shard_)) continue;
      std::vector<AxisSetting> settings = points_.at(next_);
      if (!satisfies(plan_, settings)) continue;
      const double length = expected_length(plan_, settings);
      found.emplace_back(length, Task{next_, std::move(settings)});
    }
    // Taken from the back: the shortest lie in front, of equals the latest.
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (auto& [length, task] : found) group_.push_back(std::move(task));
    std::reverse(group_.begin(), group_.end());
  }

  const Plan& plan_;
  Shard shard_;
  PlanPoints points_;
  std::vector<bool> done_;
  std::uint64_t planned_ = 0;
  std::uint64_t next_ = 0;
  std::vector<Task> group_;
};

class SweepRunner {
 public:
  SweepRunner(const Plan& plan, const SweepWork& work)
      : work_(work),
        journal_(journal_path(work.folder, work.shard), {work.plan_hash, work.columns, work.shard}),
        queue_(plan, work, done_before(plan)) {
    progress_.planned = queue_.planned();
  }

  SweepProgress run() {
    {
      const std::jthread watcher([this](const std::stop_token& over) { watch(over); });
      run_in_parallel(queue_.planned() - progress_.earlier, {work_.threads, work_.stop},
                      [this](std::size_t) { compute_next(); });
    }
    journal_.synchronise();
    if (failure_) std::rethrow_exception(failure_);
    return progress_now();
  }

 private:
  std::vector<bool> done_before(const Plan& plan) {
    const std::uint64_t points = PlanPoints(plan).size();
    std::vector<bool> done = points_done(work_, points, &work_.shard, progress_.failed);
    for (std::uint64_t point = 0; point < points; ++point) {
      if (done[point] && belongs(point, work_.shard)) ++progress_.earlier;
    }
    return done;
  }

  void compute_next() {
    if (const std::optional<Task> task = next_task()) {
      const SweepRow row = work_.compute(task->point, task->settings);
      if (row.status == RowStatus::done && row.values.empty()) return;  // stopped on the way
      keep(row);
    }
  }

  std::optional<Task> next_task() {
    const std::lock_guard lock(mutex_);
    if (failure_) return std::nullopt;
    return queue_.take();
  }

  void keep(const SweepRow& row) {
    const std::lock_guard lock(mutex_);
    // A run that ends after another one threw is kept; only after a row that the journal refused none may follow.
    if (refused_) return;
    refused_ = true;
    journal_.append(row);
    refused_ = false;
    ++progress_.computed;
    if (row.status != RowStatus::done) ++progress_.failed;
  }

  // Beside the runs: brings rows to the disk and reports, until `over`. What it cannot do ends the sweep.
  void watch(const std::stop_token& over) {
    try {
      Clock::time_point synchronised = Clock::now();
      std::unique_lock lock(mutex_);
      while (!ended_.wait_for(lock, over, between_looks, [] { return false; }) && !over.stop_requested()) {
        const SweepProgress now = progress_now();
        lock.unlock();
        if (Clock::now() - synchronised >= between_synchronisations) {
          journal_.synchronise();
          synchronised = Clock::now();
        }
        if (work_.on_progress) work_.on_progress(now);
        lock.lock();
      }
    } catch (...) {  // rethrown from run(): an exception may not leave a thread
      const std::lock_guard lock(mutex_);
      failure_ = std::current_exception();
    }
  }

  SweepProgress progress_now() const {
    SweepProgress now = progress_;
    now.elapsed = std::chrono::duration<double>(Clock::now() - start_).count();
    return now;
  }

  const SweepWork& work_;
  SweepProgress progress_;
  JournalWriter journal_;
  TaskQueue queue_;
  std::mutex mutex_;  // guards all members but work_
  std::condition_variable_any ended_;
  bool refused_ = false;        // the journal could not take a row
  std::exception_ptr failure_;  // of the watcher
  Clock::time_point start_ = Clock::now();
};

bool is_time(const std::string& key) {
  return key.starts_with("mode.") && (key.ends_with(".activation_s") || key.ends_with(".after_s"));
}

}  // namespace

SweepProgress run_sweep(const Plan& plan, const SweepWork& work) { return SweepRunner(plan, work).run(); }

std::vector<bool> points_done(const SweepWork& work, std::uint64_t points, const Shard* only, std::uint64_t& failed) {
  constexpr signed char no_row = -1;
  std::vector<signed char> settled(points, no_row);
  for (const std::filesystem::path& file : journals_in(work.folder)) {
    JournalReader journal(file, work.plan_hash, work.columns);
    const Shard& shard = journal.shard();
    if (only != nullptr && shard.count == only->count && shard.number != only->number) continue;
    for (std::uint64_t k = 0; k < journal.records(); ++k) {
      if (!journal.fetch(k) || journal.point() >= points) continue;
      if (only != nullptr && !belongs(journal.point(), *only)) continue;
      signed char& most = settled[journal.point()];
      most = std::max(most, static_cast<signed char>(settles(journal.row().status)));
    }
  }
  const int enough = settles(work.retry_failed ? RowStatus::done : RowStatus::numerical_failure);
  std::vector<bool> done(points, false);
  for (std::uint64_t point = 0; point < points; ++point) {
    const bool run_done = settled[point] == settles(RowStatus::done);
    if (settled[point] < enough || (run_done && work.lacks_file && work.lacks_file(point))) continue;
    done[point] = true;
    if (!run_done) ++failed;
  }
  return done;
}

double expected_length(const Plan& plan, const std::vector<AxisSetting>& settings) {
  double length = 1;
  for (std::size_t k = 0; k < settings.size(); ++k) {
    const double number = settings[k].number;
    if (settings[k].text.empty() || !(number > 0)) continue;
    const std::string& key = plan.axes[k].keys.front();
    if (is_time(key)) length *= number;
    if (key == "grid.fine_mm") length /= number * number;
  }
  return length;
}

}  // namespace dryfront
