#include "studies/sweep/sweep.hpp"

#include <omp.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>

namespace dryfront {

namespace {

using Clock = std::chrono::steady_clock;

constexpr auto between_looks = std::chrono::milliseconds(200);
constexpr auto between_synchronisations = std::chrono::seconds(1);

struct Task {
  std::uint64_t point = 0;
  std::vector<AxisSetting> settings;
};

// The points still to compute, the longest first within a group of neighbours: a long run at the very end would keep one
// thread busy and the others idle. Groups keep a plan of any size in bounded memory.
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
    // The calling thread watches; it also waits for the last worker, so that nobody outlives this object.
    running_ = work_.threads;
    std::vector<std::thread> workers;
    try {
      for (int k = 0; k < work_.threads; ++k) workers.emplace_back([this] { work_through(); });
      watch();
    } catch (...) {
      give_up(std::current_exception());
    }
    for (std::thread& worker : workers) worker.join();
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

  bool stopped() const { return work_.stop != nullptr && work_.stop->load(); }

  void give_up(std::exception_ptr failure) {
    const std::lock_guard lock(mutex_);
    if (!failure_) failure_ = failure;
  }

  void work_through() {
    omp_set_num_threads(1);  // of this thread: one run per core is all the parallelism there is
    try {
      while (std::optional<Task> task = next_task()) {
        const SweepRow row = work_.compute(task->point, task->settings);
        if (row.status == RowStatus::done && row.values.empty()) break;
        keep(row);
      }
    } catch (...) {
      give_up(std::current_exception());
    }
    const std::lock_guard lock(mutex_);
    if (--running_ == 0) ended_.notify_all();
  }

  std::optional<Task> next_task() {
    const std::lock_guard lock(mutex_);
    if (failure_ || stopped()) return std::nullopt;
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

  void watch() {
    Clock::time_point synchronised = Clock::now();
    std::unique_lock lock(mutex_);
    while (running_ > 0) {
      ended_.wait_for(lock, between_looks);
      const SweepProgress now = progress_now();
      lock.unlock();
      if (Clock::now() - synchronised >= between_synchronisations) {
        journal_.synchronise();
        synchronised = Clock::now();
      }
      if (work_.on_progress) work_.on_progress(now);
      lock.lock();
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
  std::condition_variable ended_;
  int running_ = 0;
  bool refused_ = false;  // the journal could not take a row
  std::exception_ptr failure_;
  Clock::time_point start_ = Clock::now();
};

bool is_time(const std::string& key) {
  return key.starts_with("mode.") && (key.ends_with(".activation_s") || key.ends_with(".after_s"));
}

}  // namespace

SweepProgress run_sweep(const Plan& plan, const SweepWork& work) { return SweepRunner(plan, work).run(); }

std::vector<bool> points_done(const SweepWork& work, std::uint64_t points, const Shard* only, std::uint64_t& failed) {
  std::vector<bool> done(points, false);
  for (const std::filesystem::path& file : journals_in(work.folder)) {
    JournalReader journal(file, work.plan_hash, work.columns);
    const Shard& shard = journal.shard();
    if (only != nullptr && shard.count == only->count && shard.number != only->number) continue;
    for (std::uint64_t k = 0; k < journal.records(); ++k) {
      if (!journal.fetch(k) || journal.point() >= points || done[journal.point()]) continue;
      if (only != nullptr && !belongs(journal.point(), *only)) continue;
      done[journal.point()] = true;
      if (journal.row().status != RowStatus::done) ++failed;
    }
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
