// How verified checks are shown.
#pragma once

#include <string>
#include <vector>

#include "studies/verification/verification.hpp"

namespace dryfront {

// Text for a terminal, Markdown tables, one JSON object.
std::string verification_text(const std::vector<VerifiedCheck>& checks);
std::string verification_markdown(const std::vector<VerifiedCheck>& checks);
std::string verification_json(const std::vector<VerifiedCheck>& checks);

}  // namespace dryfront
