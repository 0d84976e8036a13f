#include "studies/sweep/analysis.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include <fmt/format.h>

#include "files/file_error.hpp"
#include "files/run_file/sweep_table.hpp"
#include "studies/sweep/design.hpp"
#include "studies/sweep/sensitivity.hpp"

namespace dryfront {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::array<double, 5> quantile_shares{0.05, 0.25, 0.5, 0.75, 0.95};

// JSON knows no infinity. A ratio is infinite where the second mode has no depth, and that is not the same as no result.
Json number(double value) {
  if (std::isinf(value)) return value > 0 ? "inf" : "-inf";
  return std::isnan(value) ? Json(nullptr) : Json(value);
}

double plain(const Json& value) {
  if (value.is_null()) return not_a_number;
  if (!value.is_string()) return value.get<double>();
  constexpr double infinity = std::numeric_limits<double>::infinity();
  return value == "inf" ? infinity : -infinity;
}

Json range_of(const Estimate& estimate) {
  return {{"value", number(estimate.value)}, {"low", number(estimate.low)}, {"high", number(estimate.high)}};
}

bool is_ratio(const std::string& output) { return output.starts_with("depth_ratio."); }
bool is_difference(const std::string& output) { return output.starts_with("depth_difference_mm."); }

class DesignAnalysis {
 public:
  DesignAnalysis(const Plan& plan, PlanPoints& points, std::size_t design, const std::string& output,
                 const std::vector<double>& values)
      : plan_(plan),
        design_(plan.designs[design]),
        points_(points),
        first_(points.first(design)),
        output_(output),
        values_(&values[first_], points.design(design).size()),
        of_design_(points.design(design)) {}

  Json analyse() {
    Json result = {{"design", design_.name}, {"output", output_}, {"units", unit_of_name(output_)}};
    switch (design_.kind) {
      case DesignKind::grid:
        add_maps(result);
        break;
      case DesignKind::one_at_a_time:
        add_tornado(result);
        break;
      case DesignKind::saltelli:
        add_indices(result);
        add_quantiles(result, base_values());
        break;
      case DesignKind::latin_hypercube:
      case DesignKind::sobol:
        add_quantiles(result, {values_.begin(), values_.end()});
        break;
    }
    return result;
  }

 private:
  const PlanAxis& axis(std::size_t k) const { return plan_.axes[design_.axes[k]]; }

  std::vector<double> base_values() const {
    std::vector<double> base;
    for (std::size_t k = 0; k < values_.size(); k += design_.axes.size() + 2) {
      base.push_back(values_[k]);
      base.push_back(values_[k + 1]);
    }
    return base;
  }

  void add_quantiles(Json& result, std::vector<double> values) const {
    const std::size_t all = values.size();
    // An infinite ratio (no depth at all for the other mode) has its place at the end of the order.
    std::erase_if(values, [](double value) { return std::isnan(value); });
    std::sort(values.begin(), values.end());
    Json quantiles = Json::array();
    for (const double share : quantile_shares) {
      quantiles.push_back({{"share", share}, {"value", number(sorted_quantile(values, share))}});
    }
    result["quantiles"] = std::move(quantiles);
    result["counted"] = values.size();
    result["without_value"] = all - values.size();
    if (!is_ratio(output_)) return;
    const auto above = values.end() - std::upper_bound(values.begin(), values.end(), 1.0);
    result["share_above_1"] = number(static_cast<double>(above) / static_cast<double>(values.size()));
  }

  void add_indices(Json& result) const {
    const SobolIndices indices = sobol_indices(values_, design_.axes.size(), static_cast<std::uint64_t>(plan_.seed));
    Json list = Json::array();
    for (std::size_t k = 0; k < design_.axes.size(); ++k) {
      list.push_back(
          {{"axis", axis(k).name}, {"first", range_of(indices.first[k])}, {"total", range_of(indices.total[k])}});
    }
    std::stable_sort(list.begin(), list.end(), [](const Json& a, const Json& b) {
      const auto total = [](const Json& entry) {
        return entry["total"]["value"].is_null() ? -1.0 : entry["total"]["value"].get<double>();
      };
      return total(a) > total(b);
    });
    result["mean"] = number(indices.mean);
    result["variance"] = number(indices.variance);
    result["base_points"] = indices.base_points;
    result["base_points_left_out"] = indices.left_out;
    result["indices"] = std::move(list);
  }

  // Per axis the least and the greatest output among its settings, with the base case among them.
  void add_tornado(Json& result) {
    struct Bar {
      std::string axis;
      double least, greatest, at_least, at_greatest;
    };
    std::vector<Bar> bars;
    for (std::size_t k = 0; k < design_.axes.size(); ++k) {
      Bar bar{axis(k).name, values_[0], values_[0], axis(k).base, axis(k).base};
      for (std::size_t index = 1; index < values_.size(); ++index) {
        if (of_design_.moved_axis(index) != static_cast<int>(design_.axes[k])) continue;
        const double value = values_[index], setting = points_.at(first_ + index)[design_.axes[k]].number;
        if (value < bar.least) {
          bar.least = value;
          bar.at_least = setting;
        }
        if (value > bar.greatest) {
          bar.greatest = value;
          bar.at_greatest = setting;
        }
      }
      bars.push_back(bar);
    }
    std::stable_sort(bars.begin(), bars.end(),
                     [](const Bar& a, const Bar& b) { return a.greatest - a.least > b.greatest - b.least; });
    result["base"] = number(values_[0]);
    Json list = Json::array();
    for (const Bar& bar : bars) {
      list.push_back({{"axis", bar.axis},
                      {"least", number(bar.least)},
                      {"at", number(bar.at_least)},
                      {"greatest", number(bar.greatest)},
                      {"at_greatest", number(bar.at_greatest)}});
    }
    result["tornado"] = std::move(list);
  }

  // Which of the design's axes span the maps; false when the design has none of them.
  bool choose_map_axes(std::size_t& x, std::size_t& y) const {
    x = 0;
    y = 1;
    if (plan_.map_axes.empty()) return design_.axes.size() >= 2;
    int found = 0;
    for (std::size_t k = 0; k < design_.axes.size(); ++k) {
      if (axis(k).name == plan_.map_axes[0]) x = k, ++found;
      if (axis(k).name == plan_.map_axes[1]) y = k, ++found;
    }
    return found == 2;
  }

  void add_maps(Json& result) {
    std::size_t x = 0, y = 0;
    if (!choose_map_axes(x, y)) return;
    std::vector<std::size_t> stride(design_.axes.size());  // in points, of a step along an axis
    std::size_t points = 1;
    for (std::size_t k = design_.axes.size(); k-- > 0;) {
      stride[k] = points;
      points *= axis(k).values.size();
    }
    result["x"] = axis_json(axis(x));
    result["y"] = axis_json(axis(y));
    Json maps = Json::array();
    for (std::size_t corner = 0; corner < points; ++corner) {
      const auto place = [&](std::size_t k) { return corner / stride[k] % axis(k).values.size(); };
      if (place(x) != 0 || place(y) != 0) continue;
      Json others = Json::object();
      for (std::size_t k = 0; k < design_.axes.size(); ++k) {
        if (k != x && k != y) others[axis(k).name] = axis(k).values[place(k)].text;
      }
      maps.push_back(map_json(corner, x, y, stride));
      maps.back()["at"] = std::move(others);
    }
    result["maps"] = std::move(maps);
  }

  static Json axis_json(const PlanAxis& axis) {
    Json values = Json::array();
    for (const AxisValue& value : axis.values) values.push_back(number(value.number));
    return {{"axis", axis.name}, {"key", axis.keys.front()}, {"values", std::move(values)}};
  }

  Json map_json(std::size_t corner, std::size_t x, std::size_t y, const std::vector<std::size_t>& stride) const {
    std::vector<double> field;
    Json rows = Json::array();
    for (std::size_t i = 0; i < axis(x).values.size(); ++i) {
      Json row = Json::array();
      for (std::size_t j = 0; j < axis(y).values.size(); ++j) {
        field.push_back(values_[corner + i * stride[x] + j * stride[y]]);
        row.push_back(number(field.back()));
      }
      rows.push_back(std::move(row));
    }
    Json map = {{"values", std::move(rows)}};
    if (!is_ratio(output_) && !is_difference(output_)) return map;
    const double level = is_ratio(output_) ? 1 : 0;
    bool along_x = false, along_y = false;
    const std::vector<double> at_x = positions(axis(x), along_x), at_y = positions(axis(y), along_y);
    if (at_x.empty() || at_y.empty()) return map;
    map["level"] = level;
    Json line = Json::array();
    for (const LevelSegment& s : level_line(at_x, at_y, field, level)) {
      const auto back = [](double value, bool logarithmic) { return logarithmic ? std::exp(value) : value; };
      line.push_back({back(s.x0, along_x), back(s.y0, along_y), back(s.x1, along_x), back(s.y1, along_y)});
    }
    map["level_line"] = std::move(line);
    return map;
  }

  // Where the values lie along an axis, as logarithms where they are spread that way; empty when they are no numbers or
  // in no ascending order.
  static std::vector<double> positions(const PlanAxis& axis, bool& logarithmic) {
    logarithmic = axis.distribution == Distribution::log_uniform;
    std::vector<double> places;
    for (const AxisValue& value : axis.values) {
      places.push_back(logarithmic ? std::log(value.number) : value.number);
      if (!std::isfinite(places.back())) return {};
      if (places.size() > 1 && !(places[places.size() - 2] < places.back())) return {};
    }
    return places;
  }

  const Plan& plan_;
  const PlanDesign& design_;
  PlanPoints& points_;
  std::uint64_t first_;
  const std::string& output_;
  std::span<const double> values_;
  const DesignPoints& of_design_;
};

// A CSV file that exists only when it has rows.
class OptionalCsv {
 public:
  OptionalCsv(std::filesystem::path path, std::vector<std::string> columns)
      : path_(std::move(path)), columns_(std::move(columns)) {}

  void add(const std::vector<TableCell>& row) {
    if (!file_) file_ = std::make_unique<CsvFile>(path_.string(), columns_);
    file_->add(row);
  }

  void finish() {
    if (file_) {
      file_->finish();
    } else {
      std::error_code none;
      std::filesystem::remove(path_, none);  // of an earlier analysis
    }
  }

 private:
  std::filesystem::path path_;
  std::vector<std::string> columns_;
  std::unique_ptr<CsvFile> file_;
};

std::string_view text_of(const Json& value) { return value.get_ref<const std::string&>(); }

void write_maps(const Json& part, OptionalCsv& maps, OptionalCsv& lines) {
  const std::string_view design = text_of(part["design"]), output = text_of(part["output"]);
  for (const Json& map : part["maps"]) {
    std::string at;
    for (const auto& [name, value] : map["at"].items()) {
      at += fmt::format("{}{} = {}", at.empty() ? "" : ", ", name, text_of(value));
    }
    const Json &x = part["x"]["values"], &y = part["y"]["values"];
    const std::string_view x_name = text_of(part["x"]["axis"]), y_name = text_of(part["y"]["axis"]);
    for (std::size_t i = 0; i < x.size(); ++i) {
      for (std::size_t j = 0; j < y.size(); ++j) {
        maps.add({design, output, std::string_view(at), x_name, plain(x[i]), y_name, plain(y[j]),
                  plain(map["values"][i][j])});
      }
    }
    if (!map.contains("level_line")) continue;
    for (const Json& s : map["level_line"]) {
      lines.add({design, output, std::string_view(at), plain(map["level"]), x_name, plain(s[0]), plain(s[2]), y_name,
                 plain(s[1]), plain(s[3])});
    }
  }
}

}  // namespace

Json analysis_json(const Plan& plan, const CollectedColumns& columns) {
  PlanPoints points(plan);
  Json parts = Json::array();
  for (std::size_t design = 0; design < plan.designs.size(); ++design) {
    for (std::size_t k = 0; k < columns.names.size(); ++k) {
      parts.push_back(DesignAnalysis(plan, points, design, columns.names[k], columns.values[k]).analyse());
    }
  }
  Json labels = Json::object();
  for (const Mode& mode : plan.base.modes) labels[mode.name] = label_of(mode);
  return {{"title", plan.title},
          {"question", plan.question},
          {"labels", std::move(labels)},
          {"caution", "Computed for teaching and research only; not for choosing settings on a patient."},
          {"analysis", std::move(parts)}};
}

void write_analysis(const std::filesystem::path& folder, const Json& analysis) {
  OptionalCsv indices(folder / "sobol_indices.csv", {"design", "output", "axis", "first", "first_low", "first_high",
                                                     "total", "total_low", "total_high"});
  OptionalCsv tornado(folder / "tornado.csv",
                      {"design", "output", "axis", "base", "least", "at", "greatest", "at_greatest"});
  OptionalCsv quantiles(folder / "quantiles.csv", {"design", "output", "share", "value"});
  OptionalCsv maps(folder / "map.csv", {"design", "output", "at", "x_axis", "x", "y_axis", "y", "value"});
  OptionalCsv lines(folder / "level_line.csv",
                    {"design", "output", "at", "level", "x_axis", "x0", "x1", "y_axis", "y0", "y1"});
  for (const Json& part : analysis["analysis"]) {
    const std::string_view design = text_of(part["design"]), output = text_of(part["output"]);
    for (const Json& entry : part.value("indices", Json::array())) {
      const Json &first = entry["first"], &total = entry["total"];
      indices.add({design, output, text_of(entry["axis"]), plain(first["value"]), plain(first["low"]),
                   plain(first["high"]), plain(total["value"]), plain(total["low"]), plain(total["high"])});
    }
    for (const Json& entry : part.value("tornado", Json::array())) {
      tornado.add({design, output, text_of(entry["axis"]), plain(part["base"]), plain(entry["least"]),
                   plain(entry["at"]), plain(entry["greatest"]), plain(entry["at_greatest"])});
    }
    for (const Json& entry : part.value("quantiles", Json::array())) {
      quantiles.add({design, output, plain(entry["share"]), plain(entry["value"])});
    }
    if (part.contains("maps")) write_maps(part, maps, lines);
  }
  for (OptionalCsv* file : {&indices, &tornado, &quantiles, &maps, &lines}) file->finish();
  FilePlace place((folder / "analysis.json").string(), true);
  place.write(analysis.dump(1, ' ', false, Json::error_handler_t::replace) + "\n");
  place.publish();
}

std::string analysis_text(const Json& analysis) {
  std::string text;
  const auto shown = [](const Json& value) {
    return value.is_null() ? std::string("-") : fmt::format("{:.3f}", plain(value));
  };
  for (const Json& part : analysis["analysis"]) {
    text += fmt::format("\n{}: {} [{}]\n", text_of(part["design"]), text_of(part["output"]), text_of(part["units"]));
    if (part.contains("quantiles")) {
      for (const Json& entry : part["quantiles"]) {
        text += fmt::format("  {:.0f} % {}", 100 * entry["share"].get<double>(), shown(entry["value"]));
      }
      if (part.contains("share_above_1")) text += fmt::format("  above 1: share {}", shown(part["share_above_1"]));
      if (part["without_value"] != 0) text += fmt::format("  ({} without a value)", part["without_value"].dump());
      text += '\n';
    }
    if (part.contains("indices")) {
      if (part["base_points_left_out"] != 0) {
        text += fmt::format("  {} of {} base points left out: a run of theirs failed or has no value\n",
                            part["base_points_left_out"].dump(),
                            part["base_points"].get<std::size_t>() + part["base_points_left_out"].get<std::size_t>());
      }
      text += fmt::format("  {:<28} {:>24}   {:>24}\n", "axis", "first order", "total");
      for (const Json& entry : part["indices"]) {
        const auto range = [&](const Json& of) {
          return fmt::format("{} ({} .. {})", shown(of["value"]), shown(of["low"]), shown(of["high"]));
        };
        text += fmt::format("  {:<28} {:>24}   {:>24}\n", text_of(entry["axis"]), range(entry["first"]),
                            range(entry["total"]));
      }
    }
    if (part.contains("tornado")) {
      text += fmt::format("  base {}\n", shown(part["base"]));
      for (const Json& entry : part["tornado"]) {
        text += fmt::format("  {:<28} {:>10} .. {:<10}\n", text_of(entry["axis"]), shown(entry["least"]),
                            shown(entry["greatest"]));
      }
    }
    if (part.contains("maps")) {
      text += fmt::format("  {} map(s) over {} and {}\n", part["maps"].size(), text_of(part["x"]["axis"]),
                          text_of(part["y"]["axis"]));
    }
  }
  return text;
}

}  // namespace dryfront
