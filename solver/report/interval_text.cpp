#include "report/interval_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/caution.hpp"
#include "files/json.hpp"
#include "files/shown_numbers.hpp"
#include "report/wrapped_text.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

// Depths in mm and ratios alike: the sample bears two digits of either.
std::string digits(double value) { return std::isinf(value) ? "without end" : shown(Quantity::ratio, value); }

std::string with_unit(const IntervalQuantity& quantity, const std::string& number) {
  return quantity.unit == "1" ? number : number + " " + quantity.unit;
}

std::string correlation_text(double value) { return fmt::format("{:+.2f}", value); }

bool stands_out(const DepthInterval& interval, const IntervalQuantity& quantity) {
  return !quantity.correlation.empty() &&
         std::abs(quantity.correlation[quantity.foremost]) > interval.notable_correlation;
}

std::string foremost_text(const DepthInterval& interval, const IntervalQuantity& quantity) {
  if (!stands_out(interval, quantity)) return "no single number stands out";
  return fmt::format("{} ({})", interval.assumed[quantity.foremost].key,
                     correlation_text(quantity.correlation[quantity.foremost]));
}

// Where an end of the range may lie, by the size of the sample.
std::string end_text(const QuantileEstimate& end) {
  if (std::isnan(end.from) && std::isnan(end.to)) return "unbounded by so few runs";
  if (std::isnan(end.from)) return fmt::format("below {}", digits(end.to));
  if (std::isnan(end.to)) return fmt::format("above {}", digits(end.from));
  return fmt::format("{} to {}", digits(end.from), digits(end.to));
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

// Assumed numbers whose value in the case lies outside the range they were drawn from.
std::vector<std::string> beyond_range(const DepthInterval& interval) {
  std::vector<std::string> keys;
  for (const AssumedNumber& a : interval.assumed) {
    if (a.here < a.low || a.here > a.high) keys.push_back(a.key);
  }
  return keys;
}

std::string remarks(const DepthInterval& interval) {
  std::string text;
  std::vector<std::string> outside;
  for (const IntervalQuantity& q : interval.quantities) {
    if (q.here < q.low.value || q.here > q.high.value) outside.push_back(q.words);
  }
  if (!outside.empty()) {
    text += wrapped("With the case's own numbers outside its range: " + listed(outside) +
                    ". The case is no middle of its ranges; quote the range with it.");
  }
  if (interval.failed > 0) {
    text += wrapped(fmt::format("{} of the {} runs have no result and are left out; the first: {}", interval.failed,
                                interval.points, interval.reason));
  }
  if (!interval.held.empty()) text += wrapped("Set on the command line and therefore held: " + listed(interval.held));
  if (!interval.foreign.empty()) {
    text += wrapped("No ranges for the tissue of this case; those left out: " + listed(interval.foreign));
  }
  if (const auto keys = beyond_range(interval); !keys.empty()) {
    text += wrapped("In this case outside the range they were drawn from: " + listed(keys));
  }
  return text;
}

Json estimate_json(const QuantileEstimate& end) {
  return {{"value", number_or_null(end.value)}, {"from", number_or_null(end.from)}, {"to", number_or_null(end.to)}};
}

Json quantity_json(const DepthInterval& interval, const IntervalQuantity& q) {
  Json object{{"name", q.name}, {"words", q.words}, {"unit", q.unit}, {"here", number_or_null(q.here)}};
  object["low"] = estimate_json(q.low);
  object["high"] = estimate_json(q.high);
  object["least"] = number_or_null(q.least);
  object["greatest"] = number_or_null(q.greatest);
  object["counted"] = q.counted;
  object["stands_out"] = stands_out(interval, q);
  object["foremost"] = q.correlation.empty() ? Json(nullptr) : Json(interval.assumed[q.foremost].key);
  object["shown"] = {{"here", with_unit(q, digits(q.here))},
                     {"range", with_unit(q, range_text(q))},
                     {"foremost", q.correlation.empty() ? "" : correlation_text(q.correlation[q.foremost])}};
  object["rank_correlation"] = Json::object();
  for (std::size_t k = 0; k < q.correlation.size(); ++k) {
    object["rank_correlation"][interval.assumed[k].key] = number_or_null(q.correlation[k]);
  }
  return object;
}

}  // namespace

std::string range_text(const IntervalQuantity& quantity) {
  return fmt::format("{} to {}", digits(quantity.low.value), digits(quantity.high.value));
}

std::string interval_text(const IntervalAnswer& answer) {
  if (!answer.interval) return wrapped("No interval was computed: " + answer.reason + ".");
  const DepthInterval& interval = *answer.interval;
  constexpr std::size_t label = 34, value = 7, column = 16;
  std::string text =
      wrapped(fmt::format("{:.0f} % range of the depth of {} under the ranges of {} assumed numbers, {} runs",
                          100 * interval_share, interval.effect, interval.assumed.size(), interval.points));
  text += fmt::format("{:<{}}{:>{}}{:>{}}  {}\n", "", label, "here", value, "range", column,
                      "matters most (rank correlation)");
  for (const IntervalQuantity& q : interval.quantities) {
    const std::string name = q.unit == "1" ? q.words : q.words + ", " + q.unit;
    text += fmt::format("{:<{}.{}}{:>{}}{:>{}}  {}\n", name, label, label, digits(q.here), value, range_text(q), column,
                        foremost_text(interval, q));
  }
  if (!interval.first.empty() && !interval.quantities.empty()) {
    const auto ratio = std::find_if(interval.quantities.begin(), interval.quantities.end(),
                                    [](const IntervalQuantity& q) { return q.name == "depth_ratio"; });
    text += wrapped(
        fmt::format("{} reaches deeper than {} in {:.0f} % of the runs. By the size of the sample the lower end of the "
                    "ratio's range may lie at {}, the upper at {} ({:.0f} % confidence each).",
                    interval.first, interval.second, 100 * interval.first_deeper, end_text(ratio->low),
                    end_text(ratio->high), 100 * interval.confidence));
  }
  text += remarks(interval);
  return text + wrapped(fmt::format("Runs and the column \"here\" at {}. {}", interval.resolution, range_caution));
}

Json interval_json(const IntervalAnswer& answer) {
  if (!answer.interval) return {{"computed", false}, {"reason", answer.reason}};
  const DepthInterval& interval = *answer.interval;
  Json object{{"computed", true},
              {"effect", interval.effect},
              {"share", interval_share},
              {"points", interval.points},
              {"failed", interval.failed},
              {"first_failure", interval.failed == 0 ? Json(nullptr) : Json(interval.reason)},
              {"design", "latin_hypercube"},
              {"seed", interval.seed},
              {"ranges", interval.ranges},
              {"resolution", interval.resolution},
              {"confidence_of_ends", interval.confidence},
              {"measure", "Spearman's rank correlation"},
              {"notable_correlation", interval.notable_correlation}};
  object["assumed"] = Json::array();
  for (const AssumedNumber& a : interval.assumed) {
    object["assumed"].push_back({{"key", a.key},
                                 {"distribution", a.distribution},
                                 {"low", number_or_null(a.low)},
                                 {"high", number_or_null(a.high)},
                                 {"here", number_or_null(a.here)}});
  }
  object["held"] = interval.held;
  object["foreign"] = interval.foreign;
  object["beyond_range"] = beyond_range(interval);
  if (!interval.first.empty()) {
    object["first"] = interval.first;
    object["second"] = interval.second;
    object["first_deeper"] = number_or_null(interval.first_deeper);
  }
  object["quantities"] = Json::array();
  for (const IntervalQuantity& q : interval.quantities) object["quantities"].push_back(quantity_json(interval, q));
  object["caution"] = range_caution;
  return object;
}

}  // namespace dryfront
