// Two modes set equal in several senses, and the activation at which their order turns, as text and as JSON.
#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "simulation/case.hpp"
#include "studies/search/basis.hpp"

namespace dryfront {

// What came of one basis, or why nothing did.
struct BasisRow {
  Basis basis = Basis::same_setting;
  std::optional<PairOnBasis> pair;
  std::string reason;
};

struct BasisComparison {
  const Case& two;                 // the two modes as the case has them
  std::size_t effect = 0;          // whose depth is compared
  Basis chosen = Basis::as_given;  // that of the case
  std::vector<BasisRow> rows;
  OrderOverActivation order;
  std::size_t runs = 0;
  double wall_s = 0;
  std::string resolution;  // in words
};

std::string basis_comparison_text(const BasisComparison& comparison);
// `version` of the program, `case_path` as the user gave it.
nlohmann::ordered_json basis_comparison_json(const BasisComparison& comparison, const std::string& version,
                                             const std::string& case_path);

}  // namespace dryfront
