#include "studies/sweep/merge.hpp"

#include <sys/resource.h>

#include <algorithm>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "files/case/case_error.hpp"
#include "files/caution.hpp"
#include "files/file_error.hpp"
#include "files/run_file/sweep_table.hpp"
#include "studies/sweep/design.hpp"
#include "studies/sweep/journal.hpp"

namespace dryfront {

namespace {

constexpr std::uint32_t nowhere = std::numeric_limits<std::uint32_t>::max();
constexpr std::uint64_t between_reports = 1024;

struct Place {
  std::uint32_t journal = nowhere;
  int settles = -1;
  std::uint64_t record = 0;
};

// A cluster's journals are all open at once.
void allow_many_files() {
  rlimit limit{};
  if (::getrlimit(RLIMIT_NOFILE, &limit) != 0) return;
  limit.rlim_cur = limit.rlim_max;
  ::setrlimit(RLIMIT_NOFILE, &limit);  // refused: opening too many will say so
}

std::string words(std::string name) {
  std::replace(name.begin(), name.end(), '.', ' ');
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

bool is_number(const PlanAxis& axis) {
  return std::none_of(axis.values.begin(), axis.values.end(),
                      [](const AxisValue& value) { return value.number != value.number; });
}

// A text as it stands in TOML, without its quotes.
std::string_view unquoted(std::string_view text) {
  const bool quoted = text.size() >= 2 && (text.front() == '\'' || text.front() == '"') && text.front() == text.back();
  return quoted ? text.substr(1, text.size() - 2) : text;
}

std::vector<TableColumn> table_columns(const Plan& plan, const std::vector<std::string>& results) {
  std::vector<TableColumn> columns{
      {"point", "1", "number of the point in the plan", CellKind::whole},
      {"design", "1", "design the point belongs to", CellKind::text},
      {"status", "1", "done, or how the run failed", CellKind::text},
      {"reason", "1", "why the run failed", CellKind::text},
      {"seed", "1", "seed of the plan", CellKind::whole},
  };
  for (const PlanAxis& axis : plan.axes) {
    const std::string& key = axis.keys.front();
    columns.push_back({axis.name, unit_of_name(key.substr(key.rfind('.') + 1)), joined(axis.keys),
                       is_number(axis) ? CellKind::number : CellKind::text});
  }
  for (const std::string& name : results) {
    columns.push_back({name, unit_of_name(name), words(name), CellKind::number});
  }
  return columns;
}

class Merger {
 public:
  Merger(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
         const std::function<void(double)>& on_progress)
      : folder_(folder),
        plan_(plan),
        manifest_(manifest),
        on_progress_(on_progress),
        points_(plan),
        results_(result_columns(plan)),
        places_(points_.size()) {
    for (const PlanAxis& axis : plan.axes) numeric_.push_back(is_number(axis));
  }

  MergeReport merge(const std::vector<std::string>& collect) {
    prepare_collection(collect);
    find_rows();
    count_rows();
    write_rows();
    return std::move(report_);
  }

 private:
  void prepare_collection(const std::vector<std::string>& collect) {
    for (const std::string& name : collect) {
      const auto found = std::find(results_.begin(), results_.end(), name);
      if (found == results_.end()) {
        throw CaseError({"analysis.outputs", "'" + name + "' is no column of results", "", "among " + joined(results_),
                         nearest_name(name, results_)});
      }
      collected_columns_.push_back(static_cast<std::size_t>(found - results_.begin()));
      report_.collected.names.push_back(name);
      report_.collected.values.emplace_back(points_.size(), not_a_number);
    }
  }

  // First reading: where every point's row is.
  void find_rows() {
    allow_many_files();
    const std::uint64_t hash = text_hash(manifest_.decides);
    for (const std::filesystem::path& file : journals_in(folder_)) {
      journals_.emplace_back(file, hash, static_cast<std::uint32_t>(results_.size()));
    }
    for (std::size_t j = 0; j < journals_.size(); ++j) {
      JournalReader& journal = journals_[j];
      for (std::uint64_t k = 0; k < journal.records(); ++k) {
        if (!journal.fetch(k) || journal.point() >= places_.size()) {
          ++report_.damaged;
          continue;
        }
        Place& place = places_[journal.point()];
        if (place.journal != nowhere) ++report_.repeated;
        const int settled = settles(journal.row().status);
        if (settled > place.settles) place = {static_cast<std::uint32_t>(j), settled, k};
      }
      report_progress(0.5 * static_cast<double>(j + 1) / static_cast<double>(journals_.size()));
    }
  }

  void count_rows() {
    std::uint64_t missing = 0;
    std::set<std::uint32_t> shards;
    std::uint32_t count = 1;
    for (const JournalReader& journal : journals_) count = std::max(count, journal.shard().count);
    for (std::uint64_t point = 0; point < points_.size(); ++point) {
      if (places_[point].journal != nowhere) {
        ++report_.rows;
      } else if (!points_.excluded(point)) {
        ++missing;
        shards.insert(shard_of(point, count));
      }
    }
    if (missing == 0) return;
    std::string which;
    constexpr std::size_t shown = 20;
    for (const std::uint32_t shard : shards) {
      if (which.size() > shown * 5) break;
      which += fmt::format("{}{}", which.empty() ? "" : ", ", shard);
    }
    if (which.size() > shown * 5) which += ", ...";
    throw RowsMissing(folder_.string(), fmt::format("{} of {} points have no row yet (shards {} of {})", missing,
                                                    missing + report_.rows, which, count));
  }

  // Second reading, in the order of the points.
  void write_rows() {
    const std::vector<TableColumn> columns = table_columns(plan_, results_);
    std::vector<std::string> names;
    for (const TableColumn& column : columns) names.push_back(column.name);
    TableFile table((folder_ / "table.h5").string(), report_.rows, columns,
                    {{"title", plan_.title},
                     {"question", plan_.question},
                     {"version", manifest_.origin.version},
                     {"source_revision", manifest_.origin.source_revision},
                     {"plan_hash", manifest_.plan_hash},
                     {"plan_toml", plan_.text},
                     {"case_toml", plan_.canonical},
                     {"caution", caution}});
    CsvFile csv((folder_ / "table.csv").string(), names);
    std::vector<TableCell> cells;
    for (std::uint64_t point = 0; point < points_.size(); ++point) {
      if (point % between_reports == 0) {
        report_progress(0.5 + 0.5 * static_cast<double>(point) / static_cast<double>(points_.size()));
      }
      const Place& place = places_[point];
      if (place.journal == nowhere) continue;
      JournalReader& journal = journals_[place.journal];
      if (!journal.fetch(place.record) || journal.point() != point) {
        throw FileError(folder_.string(), "a journal changed while it was merged");
      }
      const SweepRow row = journal.row();
      report_.computing += row.wall;
      if (row.status != RowStatus::done) ++report_.failed;
      for (std::size_t k = 0; k < collected_columns_.size(); ++k) {
        report_.collected.values[k][point] = row.values[collected_columns_[k]];
      }
      const std::vector<AxisSetting> settings = points_.at(point);
      fill(cells, row, settings);
      table.add(cells);
      csv.add(cells);
    }
    table.finish();
    csv.finish();
  }

  void fill(std::vector<TableCell>& cells, const SweepRow& row, const std::vector<AxisSetting>& settings) const {
    cells.clear();
    cells.emplace_back(static_cast<std::int64_t>(row.point));
    cells.emplace_back(std::string_view(plan_.designs[points_.design_of(row.point)].name));
    cells.emplace_back(word(row.status));
    cells.emplace_back(std::string_view(row.reason));
    cells.emplace_back(static_cast<std::int64_t>(plan_.seed));
    for (std::size_t k = 0; k < settings.size(); ++k) {
      const PlanAxis& axis = plan_.axes[k];
      if (numeric_[k]) {
        cells.emplace_back(settings[k].text.empty() ? axis.base : settings[k].number);
      } else {
        cells.emplace_back(unquoted(settings[k].text));
      }
    }
    for (const double value : row.values) cells.emplace_back(value);
  }

  void report_progress(double share) const {
    if (on_progress_) on_progress_(share);
  }

  const std::filesystem::path& folder_;
  const Plan& plan_;
  const Manifest& manifest_;
  const std::function<void(double)>& on_progress_;
  PlanPoints points_;
  std::vector<std::string> results_;
  std::vector<bool> numeric_;  // per axis
  std::vector<Place> places_;
  std::vector<JournalReader> journals_;
  std::vector<std::size_t> collected_columns_;
  MergeReport report_;
};

}  // namespace

MergeReport merge_sweep(const std::filesystem::path& folder, const Plan& plan, const Manifest& manifest,
                        const std::vector<std::string>& collect, const std::function<void(double share)>& on_progress) {
  return Merger(folder, plan, manifest, on_progress).merge(collect);
}

}  // namespace dryfront
