#include "studies/sweep/row.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "files/run_file/summary_json.hpp"

namespace dryfront {

namespace {

constexpr double mm = 1e-3;

using Column = std::pair<std::string, double>;

// The numbers below an object, each under the names that lead to it.
void collect(const nlohmann::ordered_json& object, const std::string& path, std::vector<Column>& columns) {
  for (const auto& [name, value] : object.items()) {
    const std::string inner = path.empty() ? name : fmt::format("{}.{}", path, name);
    if (value.is_object()) {
      collect(value, inner, columns);
    } else if (value.is_boolean()) {
      columns.emplace_back(inner, value.get<bool>() ? 1 : 0);
    } else if (value.is_number()) {
      columns.emplace_back(inner, value.get<double>());
    } else if (value.is_null()) {
      columns.emplace_back(inner, not_a_number);
    }
  }
}

double ratio(double first, double other) { return first == 0 && other == 0 ? not_a_number : first / other; }

std::string pair_name(const ModeRecord& first, const char* word, const ModeRecord& other) {
  return first.name + word + other.name;
}

std::vector<Column> columns_of(const Case& c, std::size_t cells, std::vector<ModeRecord>& records) {
  for (ModeRecord& record : records) {
    record.trace = {};
    record.probes.clear();
  }
  const nlohmann::ordered_json summary = summary_json(c, RunFacts{"", "", cells, 0}, records);
  std::vector<Column> columns{{"cells", static_cast<double>(cells)}};
  for (const auto& mode : summary["modes"]) collect(mode, mode["name"].get<std::string>(), columns);
  for (std::size_t k = 1; k < records.size(); ++k) {
    const ModeRecord &first = records.front(), &other = records[k];
    for (std::size_t e = 0; e < first.effects.size(); ++e) {
      const EffectRecord &a = first.effects[e], &b = other.effects[e];
      columns.emplace_back("depth_ratio." + pair_name(first, "_over_", other) + "." + a.name, ratio(a.depth, b.depth));
      columns.emplace_back("depth_difference_mm." + pair_name(first, "_minus_", other) + "." + a.name,
                           (a.depth - b.depth) / mm);
    }
  }
  return columns;
}

// Records with nothing in them, from which the names of the columns follow.
std::vector<ModeRecord> empty_records(const Case& c) {
  std::vector<ModeRecord> records;
  for (const Mode& mode : c.modes) {
    records.emplace_back();
    records.back().name = mode.name;
    for (const Effect& effect : c.effects) {
      records.back().effects.emplace_back();
      records.back().effects.back().name = effect.name;
    }
  }
  return records;
}

}  // namespace

int settles(RowStatus status) {
  switch (status) {
    case RowStatus::done:
      return 2;
    case RowStatus::bad_case:
    case RowStatus::numerical_failure:
      return 1;
    case RowStatus::no_memory:
    case RowStatus::fault:
      return 0;
  }
  return 0;
}

std::string_view word(RowStatus status) {
  switch (status) {
    case RowStatus::done:
      return "done";
    case RowStatus::bad_case:
      return "bad case";
    case RowStatus::numerical_failure:
      return "numerical failure";
    case RowStatus::no_memory:
      return "no memory";
    case RowStatus::fault:
      return "fault of the program";
  }
  return "";
}

std::string row_reason(std::string_view text) {
  std::string line(text.substr(0, reason_length));
  // A letter of several bytes is cut off whole.
  if (text.size() > reason_length) {
    const auto continues = [](char byte) { return (static_cast<unsigned char>(byte) & 0xc0u) == 0x80u; };
    std::size_t end = reason_length;
    while (end > 0 && continues(text[end])) --end;
    line.resize(end);
  }
  for (char& letter : line) {
    if (static_cast<unsigned char>(letter) < 0x20) letter = ' ';
  }
  return line;
}

std::vector<std::string> result_columns(const Plan& plan) {
  std::vector<ModeRecord> records = empty_records(plan.base);
  std::vector<std::string> names;
  for (Column& column : columns_of(plan.base, 0, records)) names.push_back(std::move(column.first));
  return names;
}

std::vector<double> result_values(const Case& c, std::size_t cells, std::vector<ModeRecord>& records) {
  std::vector<double> values;
  for (const Column& column : columns_of(c, cells, records)) values.push_back(column.second);
  return values;
}

std::vector<std::string> headline_columns(const Plan& plan) {
  const std::string effect = "." + plan.base.effects.front().name;
  std::vector<std::string> names;
  for (const Mode& mode : plan.base.modes) names.push_back(mode.name + ".depth_mm" + effect);
  const std::string first = plan.base.modes.front().name;
  for (std::size_t k = 1; k < plan.base.modes.size(); ++k) {
    const std::string other = plan.base.modes[k].name;
    names.push_back(fmt::format("depth_ratio.{}_over_{}{}", first, other, effect));
    names.push_back(fmt::format("depth_difference_mm.{}_minus_{}{}", first, other, effect));
  }
  return names;
}

}  // namespace dryfront
