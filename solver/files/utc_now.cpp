#include "files/utc_now.hpp"

#include <fmt/chrono.h>

#include <chrono>

namespace dryfront {

std::string utc_now() { return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::chrono::system_clock::now())); }

}  // namespace dryfront
