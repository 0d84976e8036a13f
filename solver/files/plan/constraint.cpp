#include "files/plan/constraint.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>

#include "files/case/case_error.hpp"

namespace dryfront {

namespace {

std::string_view trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t");
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(" \t") - begin + 1);
}

std::optional<ConstraintFault> parse_operand(std::string_view text, const std::vector<std::string>& axes,
                                             Operand& operand) {
  text = trimmed(text);
  if (text.empty()) return ConstraintFault{"lacks an axis or a number", ""};
  const auto found = std::find(axes.begin(), axes.end(), text);
  if (found != axes.end()) {
    operand.axis = static_cast<int>(found - axes.begin());
    return std::nullopt;
  }
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), operand.number);
  if (error == std::errc() && end == text.data() + text.size()) return std::nullopt;
  return ConstraintFault{"has '" + std::string(text) + "', which is neither an axis nor a number",
                         nearest_name(text, axes)};
}

std::optional<ConstraintFault> parse_side(std::string_view text, const std::vector<std::string>& axes, Side& side) {
  for (const auto& [operation, sign] : enumerators(Operation{})) {
    const std::size_t at = sign.empty() ? std::string_view::npos : text.find(sign);
    if (at == std::string_view::npos) continue;
    side.operation = operation;
    if (auto fault = parse_operand(text.substr(0, at), axes, side.first)) return fault;
    return parse_operand(text.substr(at + sign.size()), axes, side.second);
  }
  return parse_operand(text, axes, side.first);
}

}  // namespace

std::optional<ConstraintFault> parse_constraint(const std::string& text, const std::vector<std::string>& axes,
                                                Constraint& constraint) {
  constraint.text = text;
  // The longest sign there is, so that <= is not read as <.
  std::string_view sign;
  for (const auto& [relation, candidate] : enumerators(Relation{})) {
    if (candidate.size() <= sign.size() || text.find(candidate) == std::string::npos) continue;
    sign = candidate;
    constraint.relation = relation;
  }
  if (sign.empty()) return ConstraintFault{"compares nothing", ""};
  const std::string_view whole = text;
  const std::size_t at = whole.find(sign);
  if (auto fault = parse_side(whole.substr(0, at), axes, constraint.left)) return fault;
  return parse_side(whole.substr(at + sign.size()), axes, constraint.right);
}

}  // namespace dryfront
