// What a sweep would be, in words.
#pragma once

#include <string>

#include "studies/sweep/outlook.hpp"

namespace dryfront {

// "150 MB", "2.1 GB"
std::string bytes_text(double bytes);

std::string sweep_outlook_text(const SweepOutlook& outlook, int threads);

}  // namespace dryfront
