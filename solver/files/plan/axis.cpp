#include "files/plan/axis.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "files/case/case_error.hpp"
#include "files/case/values.hpp"
#include "files/plan/plan_keys.hpp"

namespace dryfront {

namespace {

// The numbers a path of --set leads to; nothing is added where it leads nowhere.
void collect_numbers(const toml::node& node, std::string_view path, std::vector<double>& numbers) {
  if (path.empty()) {
    numbers.push_back(node.value<double>().value_or(not_a_number));
    return;
  }
  const std::string_view name = path.substr(0, path.find('.'));
  const std::string_view rest = path.substr(std::min(name.size() + 1, path.size()));
  if (const auto* table = node.as_table()) {
    if (const toml::node* child = table->get(name)) collect_numbers(*child, rest, numbers);
  } else if (const auto* list = node.as_array()) {
    for (std::size_t k = 0; k < list->size(); ++k) {
      const auto* entry = (*list)[k].as_table();
      if (entry == nullptr) continue;
      if (name == "*" || name == std::to_string(k) || (*entry)["name"].value_or(std::string()) == name) {
        collect_numbers(*entry, rest, numbers);
      }
    }
  }
}

void read_keys(const toml::table& document, const toml::node& value, const std::string& path, PlanAxis& axis) {
  const KeyInfo& key = key_named(axis_keys(), "key");
  axis.keys = value.is_string() ? std::vector{read_text(value, key, path)} : read_texts(value, key, path);
  for (const std::string& name : axis.keys) {
    if (name.empty() || name.find_first_of("= \t\n\"") != std::string::npos) {
      refuse(document, path + ".key", "is no path of a key", "as for --set: electrode.radius_mm, mode.*.activation_s");
    }
    if (name.starts_with("mode.") && (name.ends_with(".name") || std::count(name.begin(), name.end(), '.') < 2)) {
      refuse(document, path + ".key", "would rename the columns of the table", "a key inside a mode");
    }
  }
  if (axis.keys.empty()) refuse(document, path + ".key", "is empty", "at least one key");
}

// Equally spaced from the first to the last, or in equal ratios.
void add_range(const AxisRange& range, bool ratios, PlanAxis& axis) {
  for (int k = 0; k < range.points; ++k) {
    const double share = static_cast<double>(k) / (range.points - 1);
    double number =
        ratios ? range.from * std::pow(range.to / range.from, share) : range.from + (range.to - range.from) * share;
    if (k == range.points - 1) number = range.to;
    axis.values.push_back({number_text(number), number});
  }
}

void read_range(const toml::table& document, const toml::table& table, const std::string& path, bool ratios,
                PlanAxis& axis, CaseProblems& problems) {
  const std::string name = ratios ? "log_range" : "range";
  const std::string range_path = path_of(path, name);
  AxisRange range;
  read_values(read_table(*table.get(name), key_named(axis_keys(), name), path), range_keys(), range_path, range,
              problems);
  if (problems.concern(range_path)) return;
  if (ratios && !(range.from > 0 && range.to > 0)) {
    refuse(document, range_path, "reaches zero or below", "from and to above 0");
  }
  if (!(range.from < range.to)) refuse(document, range_path, "is empty", "from below to");
  add_range(range, ratios, axis);
  if (axis.distribution != Distribution::none) return;
  axis.distribution = ratios ? Distribution::log_uniform : Distribution::uniform;
  if (!table.contains("low")) axis.low = range.from;
  if (!table.contains("high")) axis.high = range.to;
}

void read_values_of(const toml::table& document, const toml::table& table, const std::string& path, PlanAxis& axis,
                    CaseProblems& problems) {
  int given = 0;
  if (const toml::node* list = table.get("list")) {
    ++given;
    if (!list->is_array() || list->as_array()->empty()) {
      refuse(document, path + ".list", "is no list of values", "[1, 2, 3], [\"disc\", \"ring\"], [true, false]");
    }
    for (const toml::node& entry : *list->as_array()) axis.values.push_back(axis_value(entry));
  }
  for (const bool ratios : {false, true}) {
    if (!table.contains(ratios ? "log_range" : "range")) continue;
    ++given;
    read_range(document, table, path, ratios, axis, problems);
  }
  if (given > 1) refuse(document, path, "has its values twice", "one of list, range and log_range");
  if (!axis.is_drawn() && !problems.concern(path)) {
    refuse(document, path, "has no values", "list, range, log_range or distribution with low and high");
  }
}

void check_distribution(const toml::table& document, const toml::table& table, const std::string& path,
                        const PlanAxis& axis, CaseProblems& problems) {
  const auto require = [&](bool holds, const char* name, const char* what, const char* allowed) {
    const std::string key = path + "." + name;
    if (!holds && !problems.concern(key)) problems.add(problem_about(document, key, what, allowed));
  };
  const auto need = [&](double value, const char* name) {
    require(std::isfinite(value), name, "is missing for this distribution", "a number");
  };
  const auto useless = [&](const char* name) {
    require(!table.contains(name), name, "has no use in this distribution", "left out");
  };
  const bool normal = axis.distribution == Distribution::normal;
  const bool triangular = axis.distribution == Distribution::triangular;
  if (axis.distribution == Distribution::none) {
    for (const char* name : {"low", "high"}) useless(name);
  } else if (normal) {
    need(axis.mean, "mean");
    need(axis.deviation, "deviation");
  } else {
    need(axis.low, "low");
    need(axis.high, "high");
  }
  if (!normal) {
    for (const char* name : {"mean", "deviation"}) useless(name);
  }
  const bool ends = !problems.concern(path + ".low") && !problems.concern(path + ".high");
  if (triangular) {
    need(axis.mode, "mode");
    require(!ends || (axis.low <= axis.mode && axis.mode <= axis.high), "mode", "lies outside low and high",
            "low <= mode <= high");
  } else {
    useless("mode");
  }
  if (axis.distribution == Distribution::none || !ends) return;
  require(axis.low < axis.high, "low", "is not below high", "low < high");
  require(axis.distribution != Distribution::log_uniform || axis.low > 0, "low", "is not above 0",
          "a number > 0 for log_uniform");
}

}  // namespace

std::string toml_text(const toml::node& value) {
  if (const auto* number = value.as_floating_point()) return number_text(number->get());
  std::ostringstream stream;
  value.visit([&](const auto& node) { stream << node; });
  std::string text = stream.str();
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

AxisValue axis_value(const toml::node& node) {
  return {toml_text(node), node.is_boolean() ? not_a_number : node.value<double>().value_or(not_a_number)};
}

PlanAxis read_axis(const toml::table& document, const std::string& name, const toml::table& table,
                   CaseProblems& problems) {
  const std::string path = "axis." + name;
  PlanAxis axis;
  axis.name = name;
  read_values(table, axis_keys(), path, axis, problems);
  if (const toml::node* key = table.get("key")) problems.attempt([&] { read_keys(document, *key, path, axis); });
  problems.attempt([&] { read_values_of(document, table, path, axis, problems); });
  const auto usable = [&](const char* key) { return !problems.concern(path_of(path, key)); };
  if (usable("distribution") && usable("range") && usable("log_range")) {
    check_distribution(document, table, path, axis, problems);
  }
  return axis;
}

std::vector<std::string> ends_of(const PlanAxis& axis) {
  std::vector<std::string> ends;
  if (axis.distribution == Distribution::none) {
    for (const AxisValue& value : axis.values) ends.push_back(value.text);
  } else {
    if (!axis.values.empty()) ends = {axis.values.front().text, axis.values.back().text};
    for (const double end : {axis.low, axis.high}) {
      if (std::isfinite(end)) ends.push_back(number_text(end));
    }
    if (axis.distribution == Distribution::normal) ends.push_back(number_text(axis.mean));
  }
  return ends;
}

double common_number(const toml::table& document, const std::vector<std::string>& paths) {
  std::vector<double> numbers;
  for (const std::string& path : paths) collect_numbers(document, path, numbers);
  const auto differs = [&](double number) { return number != numbers.front(); };
  if (numbers.empty() || std::any_of(numbers.begin(), numbers.end(), differs)) return not_a_number;
  return numbers.front();
}

}  // namespace dryfront
