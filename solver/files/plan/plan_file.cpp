#include "files/plan/plan_file.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <optional>
#include <sstream>
#include <utility>

#include <toml++/toml.h>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/case/case_problems.hpp"
#include "files/case/former_names.hpp"
#include "files/case/values.hpp"
#include "files/file_error.hpp"
#include "files/file_text.hpp"
#include "files/plan/axis.hpp"
#include "files/plan/constraint.hpp"
#include "files/plan/plan_keys.hpp"

namespace dryfront {

namespace {

bool is_name(std::string_view text) {
  const auto is_letter = [](char letter) { return std::isalpha(static_cast<unsigned char>(letter)) != 0; };
  const auto fits = [&](char letter) {
    return is_letter(letter) || std::isdigit(static_cast<unsigned char>(letter)) != 0 || letter == '_';
  };
  return !text.empty() && is_letter(text.front()) && std::all_of(text.begin(), text.end(), fits);
}

// The case with these of its modes only, in this order; as it is when there are no names.
Case with_modes(Case c, const std::vector<std::string>& names) {
  if (names.empty()) return c;
  std::vector<Mode> chosen;
  for (const std::string& name : names) {
    chosen.push_back(
        *std::find_if(c.modes.begin(), c.modes.end(), [&](const Mode& mode) { return mode.name == name; }));
  }
  c.modes = std::move(chosen);
  return c;
}

// Reads one document, section by section in the order of the members below `read`. What is wrong goes to the problems,
// and reading goes on.
class PlanReader {
 public:
  PlanReader(const std::string& text, const std::filesystem::path& file, const std::filesystem::path& tissue_directory,
             const std::string* case_text)
      : document_(parse_toml(text, file.string())), problems_(file.string()) {
    plan_.text = text;
    plan_.tissue_directory = tissue_directory;
    read(file, case_text);
  }

  Plan take() { return std::move(plan_); }

 private:
  void read(const std::filesystem::path& file, const std::string* case_text) {
    const std::vector<KeyInfo> keys(plan_keys().begin(), plan_keys().end());
    rename_former_keys(document_, keys, "", problems_);
    read_values(document_, plan_keys(), "", plan_, problems_);
    read_set();
    has_base_ = problems_.attempt([&] { read_base(file, case_text); }) && !resolved_base_.empty();
    if (has_base_) check_modes();
    read_axes();
    read_constraints();
    read_designs();
    problems_.attempt([&] { read_keep(); });
    read_analysis();
    if (has_base_) check_axes();
    problems_.raise();
    plan_.canonical = canonical_text();
  }

  // A problem with the value at `path` unless `holds`; not judged where it is a problem already.
  void require(bool holds, const std::string& path, const std::string& what, const std::string& allowed,
               const std::string& nearest = "") {
    if (!holds && !problems_.concern(path)) problems_.add(problem_about(document_, path, what, allowed, nearest));
  }

  // Null when it is not there or is no table, which is a problem.
  const toml::table* section(const std::string& name) {
    const toml::node* value = document_.get(name);
    if (value == nullptr) return nullptr;
    problems_.attempt([&] { read_table(*value, key_named(plan_keys(), name), ""); });
    return value->as_table();
  }

  void read_set() {
    if (const toml::table* table = section("set")) flatten(*table, "");
  }

  // Tables inside lead on; everything else is a value. A key in quotes may hold a whole path.
  void flatten(const toml::table& table, const std::string& path) {
    for (const auto& [key, value] : table) {
      const std::string inner = path_of(path, key.str());
      if (const toml::table* child = value.as_table(); child != nullptr && !child->is_inline()) {
        flatten(*child, inner);
      } else {
        plan_.set.push_back(inner + "=" + toml_text(value));
        set_sources_.push_back(value.source());
      }
    }
  }

  void read_base(const std::filesystem::path& file, const std::string* case_text) {
    const toml::node* given = document_.get("case");
    if (given == nullptr) return;
    plan_.case_file = file.parent_path() / read_text(*given, key_named(plan_keys(), "case"), "");
    if (case_text != nullptr) {
      plan_.case_text = *case_text;
    } else {
      try {
        plan_.case_text = file_text(plan_.case_file);
      } catch (const FileError& error) {
        refuse(document_, "case", std::string("cannot be read: ") + error.what(), "the file of a case");
      }
    }
    try {
      plan_.base = parsed({});
    } catch (const CaseError& error) {
      throw CaseError(with_places_of_set(error.problems()));
    }
    resolved_base_ = resolved_toml(plan_.base);
  }

  // Problems of the base case; those with what every run sets get its place in the plan.
  std::vector<CaseProblem> with_places_of_set(std::vector<CaseProblem> problems) const {
    for (CaseProblem& problem : problems) {
      problem.path.clear();  // of the case, not of the plan
      for (std::size_t k = 0; k < plan_.set.size(); ++k) {
        if (problem.place != std::string(override_mark) + plan_.set[k]) continue;
        problem.place = place_of(set_sources_[k]);
        problem.line = set_sources_[k].begin.line;
        problem.column = set_sources_[k].begin.column;
        break;
      }
    }
    return problems;
  }

  Case parsed(const std::vector<std::string>& overrides) const {
    std::vector<std::string> all = plan_.set;
    all.insert(all.end(), overrides.begin(), overrides.end());
    return parse_case(plan_.case_text, plan_.case_file.string(), all, plan_.tissue_directory,
                      plan_.case_file.parent_path());
  }

  void check_modes() {
    std::vector<std::string> names;
    for (const Mode& mode : plan_.base.modes) names.push_back(mode.name);
    for (const std::string& name : plan_.modes) {
      require(std::find(names.begin(), names.end(), name) != names.end(), "modes",
              "has '" + name + "', which the base case has not", "among " + joined(names), nearest_name(name, names));
      require(std::count(plan_.modes.begin(), plan_.modes.end(), name) == 1, "modes", "has '" + name + "' twice",
              "each once");
    }
    if (!problems_.concern("modes")) plan_.base = with_modes(std::move(plan_.base), plan_.modes);
  }

  void read_axes() {
    const toml::table* tables = section("axis");
    if (tables == nullptr) return;
    for (const auto& [key, value] : *tables) {
      const std::string name(key.str());
      const std::string path = "axis." + name;
      require(is_name(name), path, "is no name", "letters, digits and _, a letter first");
      require(value.is_table(), path, "is not the table of an axis", "[axis.NAME] with its keys");
      // Also an axis that is a problem keeps its name, which designs and constraints may use.
      if (value.is_table()) {
        plan_.axes.push_back(read_axis(document_, name, *value.as_table(), problems_));
      } else {
        plan_.axes.emplace_back().name = name;
      }
    }
    require(!plan_.axes.empty(), "axis", "has no axis", "at least one table [axis.NAME]");
    // In the order they are written, which is the order of the table's columns; a TOML table is sorted by name.
    const auto line = [&](const PlanAxis& axis) { return tables->get(axis.name)->source().begin; };
    std::sort(plan_.axes.begin(), plan_.axes.end(), [&](const PlanAxis& a, const PlanAxis& b) {
      const toml::source_position x = line(a), y = line(b);
      return x.line != y.line ? x.line < y.line : x.column < y.column;
    });
    for (const PlanAxis& axis : plan_.axes) axis_names_.push_back(axis.name);
  }

  void read_constraints() {
    const toml::node* value = document_.get("constraints");
    if (value == nullptr || axis_names_.empty()) return;
    std::vector<std::string> texts;
    problems_.attempt([&] { texts = read_texts(*value, key_named(plan_keys(), "constraints"), ""); });
    for (std::size_t k = 0; k < texts.size(); ++k) {
      const std::string path = "constraints." + std::to_string(k);
      Constraint constraint;
      if (const auto fault = parse_constraint(texts[k], axis_names_, constraint)) {
        require(false, path, fault->what,
                "two sides with one of " + joined(words_of<Relation>()) + " between; axes are " + joined(axis_names_),
                fault->nearest);
        continue;
      }
      for (const Operand& operand :
           {constraint.left.first, constraint.left.second, constraint.right.first, constraint.right.second}) {
        if (operand.axis < 0) continue;
        const PlanAxis& axis = plan_.axes[static_cast<std::size_t>(operand.axis)];
        const auto is_word = [](const AxisValue& entry) { return std::isnan(entry.number); };
        require(std::none_of(axis.values.begin(), axis.values.end(), is_word), path,
                "compares '" + axis.name + "', which is no number", "axes whose values are numbers");
      }
      plan_.constraints.push_back(constraint);
    }
  }

  // The axis called `name` at `path`; without a value where there is none, a problem unless the plan has no axes at
  // all.
  std::optional<std::size_t> axis_index(const std::string& path, const std::string& name) {
    const auto found = std::find(axis_names_.begin(), axis_names_.end(), name);
    if (found != axis_names_.end()) return static_cast<std::size_t>(found - axis_names_.begin());
    if (!axis_names_.empty()) {
      problems_.add(problem_about(document_, path, "has '" + name + "', which is no axis",
                                  "among " + joined(axis_names_), nearest_name(name, axis_names_)));
    }
    return std::nullopt;
  }

  void read_designs() {
    const toml::node* value = document_.get("design");
    if (value == nullptr) return;
    std::vector<const toml::table*> tables;
    problems_.attempt([&] { tables = read_tables(*value, key_named(plan_keys(), "design"), ""); });
    for (const toml::table* table : tables) {
      const std::string path = "design." + std::to_string(plan_.designs.size());
      PlanDesign design;
      read_values(*table, design_keys(), path, design, problems_);
      require(is_name(design.name), path + ".name", "is no name", "letters, digits and _");
      const auto is_same = [&](const PlanDesign& other) { return other.name == design.name; };
      require(std::none_of(plan_.designs.begin(), plan_.designs.end(), is_same), path + ".name", "is taken",
              "another name");
      problems_.attempt([&] { read_held(*table, path, design); });
      problems_.attempt([&] { read_moved(*table, path, design); });
      check_design(*table, path, design);
      plan_.designs.push_back(std::move(design));
    }
    require(!plan_.designs.empty(), "design", "is empty", "at least one table [[design]]");
  }

  static bool is_held(const PlanDesign& design, std::size_t axis) {
    return std::any_of(design.held.begin(), design.held.end(), [&](const auto& held) { return held.first == axis; });
  }

  void read_held(const toml::table& table, const std::string& path, PlanDesign& design) {
    const toml::node* value = table.get("hold");
    if (value == nullptr) return;
    for (const auto& [name, held] : read_table(*value, key_named(design_keys(), "hold"), path)) {
      const auto axis = axis_index(path + ".hold", std::string(name.str()));
      if (axis) design.held.emplace_back(*axis, axis_value(held));
    }
  }

  void read_moved(const toml::table& table, const std::string& path, PlanDesign& design) {
    if (const toml::node* axes = table.get("axes")) {
      for (const std::string& name : read_texts(*axes, key_named(design_keys(), "axes"), path)) {
        if (const auto axis = axis_index(path + ".axes", name)) design.axes.push_back(*axis);
      }
    } else {
      for (std::size_t k = 0; k < plan_.axes.size(); ++k) {
        if (!is_held(design, k)) design.axes.push_back(k);
      }
    }
  }

  void check_design(const toml::table& table, const std::string& path, const PlanDesign& design) {
    std::vector<std::size_t> sorted = design.axes;
    std::sort(sorted.begin(), sorted.end());
    const bool once = !sorted.empty() && std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end();
    require(once || axis_names_.empty(), path + ".axes", "is empty or has an axis twice", "each axis once");
    const auto both = [&](std::size_t axis) { return is_held(design, axis); };
    require(std::none_of(sorted.begin(), sorted.end(), both), path + ".hold", "holds an axis that the design moves",
            "axes that are not among its axes");
    if (problems_.concern(path + ".kind")) return;
    const bool grid = design.kind == DesignKind::grid;
    const bool drawn = !grid && design.kind != DesignKind::one_at_a_time;
    require(!drawn || design.points != 0, path + ".points", "is missing", "how many points are drawn");
    require(drawn || !table.contains("points"), path + ".points", "has no use: the axes' values say how many",
            "left out");
    for (const std::size_t k : design.axes) {
      const PlanAxis& axis = plan_.axes[k];
      if (problems_.concern("axis." + axis.name)) continue;
      require(!grid || !axis.values.empty(), path, "is a grid over '" + axis.name + "', which has only a distribution",
              "axes with list, range or log_range");
    }
    check_number_of_points(path, design);
    const bool whole = design.kind == DesignKind::saltelli || design.kind == DesignKind::one_at_a_time;
    require(!whole || plan_.constraints.empty(), path, "cannot leave out points, which constraints would",
            "a plan of its own for this design");
  }

  void check_number_of_points(const std::string& path, const PlanDesign& design) {
    if (design.kind != DesignKind::grid) return;
    std::uint64_t points = 1;
    for (const std::size_t axis : design.axes) {
      points *= std::max<std::uint64_t>(plan_.axes[axis].values.size(), 1);
      require(points <= most_grid_points, path, "has more than " + std::to_string(most_grid_points) + " points",
              "fewer values of its axes");
      if (points > most_grid_points) return;  // said once
    }
  }

  void read_keep() {
    const toml::node* value = document_.get("keep");
    if (value == nullptr) return;
    for (const KeepFields keep : {KeepFields::none, KeepFields::all}) {
      if (value->value<std::string_view>() != word_of(keep)) continue;
      plan_.keep = keep;
      return;
    }
    const auto complain = [&] { refuse(document_, "keep", "is not understood", "\"none\", \"all\" or [0, 7, 12]"); };
    const auto* list = value->as_array();
    if (list == nullptr) complain();
    plan_.keep = KeepFields::listed;
    for (const toml::node& entry : *list) {
      if (!entry.is_integer() || entry.as_integer()->get() < 0) complain();
      plan_.kept.push_back(entry.as_integer()->get());
    }
    std::sort(plan_.kept.begin(), plan_.kept.end());
  }

  void read_analysis() {
    PlanAnalysis analysis;
    if (const toml::table* table = section("analysis")) {
      read_values(*table, analysis_keys(), "analysis", analysis, problems_);
    }
    for (const std::string& name : analysis.map_axes) axis_index("analysis.map", name);
    require(analysis.map_axes.empty() || analysis.map_axes.size() == 2, "analysis.map", "is no pair", "two axes");
    for (const std::string& column : analysis.outputs) answer_former_column(column);
    plan_.outputs = std::move(analysis.outputs);
    plan_.map_axes = std::move(analysis.map_axes);
  }

  // A part of a column's name that was called otherwise before; modes and effects of the base case may bear any name.
  void answer_former_column(const std::string& column) {
    if (!has_base_) return;
    for (std::size_t begin = 0; begin < column.size();) {
      const std::size_t end = std::min(column.find('.', begin), column.size());
      const std::string part = column.substr(begin, end - begin);
      begin = end + 1;
      const auto is_part = [&](const auto& named) { return named.name == part; };
      const FormerName* row = former_name(part);
      if (row == nullptr || std::any_of(plan_.base.modes.begin(), plan_.base.modes.end(), is_part) ||
          std::any_of(plan_.base.effects.begin(), plan_.base.effects.end(), is_part)) {
        continue;
      }
      problems_.add(problem_about(document_, "analysis.outputs", "has '" + column + "': " + answer(*row),
                                  "columns of the table", std::string(row->now)));
    }
  }

  // The ends of every axis by itself.
  void check_axes() {
    const toml::table base = parse_toml(resolved_base_, "the base case");
    for (PlanAxis& axis : plan_.axes) {
      if (problems_.concern("axis." + axis.name) || problems_.concern("modes")) continue;
      axis.base = common_number(base, axis.keys);
      problems_.attempt([&] { try_ends(axis); });
    }
  }

  // Where constraints may exclude an end one good end is enough.
  void try_ends(const PlanAxis& axis) const {
    std::vector<std::string> resolved;
    std::optional<CaseError> fault;
    for (const std::string& value : ends_of(axis)) {
      std::vector<std::string> overrides;
      for (const std::string& key : axis.keys) overrides.emplace_back(key).append("=").append(value);
      try {
        resolved.push_back(resolved_toml(with_modes(parsed(overrides), plan_.modes)));
      } catch (const CaseError& error) {
        fault = error;
      }
    }
    const std::string path = "axis." + axis.name;
    if (fault && (resolved.empty() || plan_.constraints.empty())) {
      const CaseProblem& problem = fault->problems().front();
      throw CaseError(problem_at(find_value(document_, path)->source(), path, path + " cannot be set: " + problem.what,
                                 problem.place.starts_with(override_mark) ? problem.place : problem.given,
                                 problem.allowed, problem.nearest));
    }
    const auto same = [&](const std::string& text) { return text == resolved.front(); };
    if (resolved.size() > 1 && std::all_of(resolved.begin(), resolved.end(), same)) {
      refuse(document_, path, "changes nothing in the base case", "a key that the base case uses");
    }
  }

  std::string canonical_text() const {
    std::ostringstream lines;
    lines << "seed = " << plan_.seed << '\n';
    for (const Mode& mode : plan_.base.modes) lines << "mode " << mode.name << '\n';
    for (const PlanAxis& axis : plan_.axes) {
      lines << "axis " << axis.name << ": keys = " << joined(axis.keys) << "; values =";
      for (const AxisValue& value : axis.values) lines << ' ' << value.text;
      lines << "; distribution = " << word_of(axis.distribution);
      for (const double number : {axis.low, axis.high, axis.mode, axis.mean, axis.deviation}) {
        lines << ' ' << number_text(number);
      }
      lines << '\n';
    }
    for (const Constraint& constraint : plan_.constraints) lines << "constraint " << constraint.text << '\n';
    for (const PlanDesign& design : plan_.designs) {
      lines << "design " << design.name << ": " << word_of(design.kind) << ", axes";
      for (const std::size_t axis : design.axes) lines << ' ' << axis_names_[axis];
      for (const auto& [axis, value] : design.held) lines << ", " << axis_names_[axis] << " = " << value.text;
      lines << ", points = " << design.points << '\n';
    }
    lines << "base case with what every run sets:\n" << resolved_toml(plan_.base);
    return lines.str();
  }

  toml::table document_;
  CaseProblems problems_;
  bool has_base_ = false;
  std::vector<toml::source_region> set_sources_;  // of the values in plan_.set
  std::vector<std::string> axis_names_;
  std::string resolved_base_;  // with all its modes, which paths may count
  Plan plan_;
};

}  // namespace

Plan parse_plan(const std::string& toml_text, const std::filesystem::path& file,
                const std::filesystem::path& tissue_directory, const std::string* case_text) {
  return PlanReader(toml_text, file, tissue_directory, case_text).take();
}

Plan read_plan(const std::filesystem::path& file, const std::filesystem::path& tissue_directory) {
  return parse_plan(file_text(file), file, tissue_directory);
}

Case plan_case(const Plan& plan, const std::vector<std::string>& overrides) {
  std::vector<std::string> all = plan.set;
  all.insert(all.end(), overrides.begin(), overrides.end());
  Case c =
      parse_case(plan.case_text, plan.case_file.string(), all, plan.tissue_directory, plan.case_file.parent_path());
  return with_modes(std::move(c), plan.modes);
}

std::string unit_of_name(const std::string& name) {
  std::vector<std::pair<std::string, std::string>> suffixes{{"_J", "J"}, {"_mm3", "mm3"}};
  for (const Unit& unit : units()) {
    if (!unit.suffix.empty()) suffixes.emplace_back("_" + std::string(unit.suffix), unit.shown);
  }
  std::size_t longest = 0;
  std::string best = "1";
  for (std::size_t begin = 0; begin < name.size();) {
    const std::size_t end = std::min(name.find('.', begin), name.size());
    const std::string part = name.substr(begin, end - begin);
    for (const auto& [suffix, shown] : suffixes) {
      if (suffix.size() <= longest || !part.ends_with(suffix)) continue;
      longest = suffix.size();
      best = shown;
    }
    begin = end + 1;
  }
  return best;
}

}  // namespace dryfront
