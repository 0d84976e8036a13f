// The range of the depths under what had to be assumed: how it is told.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "studies/interval/depth_interval.hpp"

namespace dryfront {

// "1.62 to 4.41"; a value that is infinite is written as "without end".
std::string range_text(const IntervalQuantity& quantity);

// Lines of at most text_width characters; one line when there is no interval.
std::string interval_text(const IntervalAnswer& answer);
// What run --json and the run file have under "interval": {"computed": false, "reason"} or all of it.
nlohmann::ordered_json interval_json(const IntervalAnswer& answer);

}  // namespace dryfront
