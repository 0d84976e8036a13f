#include "files/plan/constraint.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <string_view>
#include <utility>

#include "files/case/case_error.hpp"

namespace dryfront {

namespace {

struct RelationSign {
  std::string_view sign;
  Relation relation;
};
// The longer signs first, so that <= is not read as <.
constexpr std::array<RelationSign, 6> relation_signs{{{"<=", Relation::at_most},
                                                      {">=", Relation::at_least},
                                                      {"==", Relation::equal},
                                                      {"!=", Relation::unequal},
                                                      {"<", Relation::less},
                                                      {">", Relation::greater}}};
constexpr std::array<std::pair<std::string_view, Operation>, 4> operation_signs{
    {{" + ", Operation::plus}, {" - ", Operation::minus}, {"*", Operation::times}, {"/", Operation::over}}};

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
  for (const auto& [sign, operation] : operation_signs) {
    const std::size_t at = text.find(sign);
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
  for (const RelationSign& candidate : relation_signs) {
    const std::size_t at = text.find(candidate.sign);
    if (at == std::string::npos) continue;
    const std::string_view whole = text;
    constraint.relation = candidate.relation;
    if (auto fault = parse_side(whole.substr(0, at), axes, constraint.left)) return fault;
    return parse_side(whole.substr(at + candidate.sign.size()), axes, constraint.right);
  }
  return ConstraintFault{"compares nothing", ""};
}

}  // namespace dryfront
