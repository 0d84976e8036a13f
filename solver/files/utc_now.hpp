// The time of day, as files note it.
#pragma once

#include <string>

namespace dryfront {

// "2000-01-01T00:00:00Z" (ISO 8601, UTC).
std::string utc_now();

}  // namespace dryfront
