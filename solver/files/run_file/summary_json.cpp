#include "files/run_file/summary_json.hpp"

#include <cmath>

#include "files/run_file/layout.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json numbers(const std::vector<double>& values, double unit = 1) {
  Json list = Json::array();
  for (const double value : values) list.push_back(number(value / unit));
  return list;
}

Json per_effect(const ModeRecord& record, double EffectRecord::*value, double unit) {
  Json object = Json::object();
  for (const EffectRecord& effect : record.effects) object[effect.name] = number(effect.*value / unit);
  return object;
}

Json ledger(const LedgerRecord& record) {
  Json object = {
      {"electric", number(record.electric)}, {"energy", number(record.energy)}, {"water", number(record.water)}};
  for (const LedgerTerm& term : ledger_terms) object["terms"][term.name] = number(record.*term.value);
  return object;
}

Json probes(const ModeRecord& record) {
  Json object = Json::object();
  for (const ProbeRecord& probe : record.probes) {
    object[probe.name] = {
        {"t_s", numbers(probe.time)}, {"temperature_C", numbers(probe.temperature)}, {"omega", numbers(probe.omega)}};
  }
  return object;
}

Json trace(const Case& c, const Trace& record) {
  Json object = Json::object();
  for (const TraceColumn& column : trace_columns) object[column.name] = numbers(record.*column.values);
  Json depths = Json::object();
  for (std::size_t k = 0; k < record.greatest_depth.size(); ++k) {
    depths[c.effects.at(k).name] = numbers(record.greatest_depth[k], mm);
  }
  object["greatest_depth_mm"] = std::move(depths);
  return object;
}

Json mode(const Case& c, const ModeRecord& record) {
  return {{"name", record.name},
          {"label", record.label},
          {"completed", record.completed},
          {"steps", record.steps},
          {"rejected_steps", record.rejected_steps},
          {"electric_solves", record.electric_solves},
          {"electric_iterations", record.electric_iterations},
          {"crest_factor", number(record.crest_factor)},
          {"depth_mm", per_effect(record, &EffectRecord::depth, mm)},
          {"axis_depth_mm", per_effect(record, &EffectRecord::axis_depth, mm)},
          {"half_width_mm", per_effect(record, &EffectRecord::half_width, mm)},
          {"volume_mm3", per_effect(record, &EffectRecord::volume, mm * mm * mm)},
          {"resistance_ohm",
           {{"start", number(record.resistance_start)},
            {"least", number(record.resistance_least)},
            {"end", number(record.resistance_end)}}},
          {"delivered_J", number(record.delivered)},
          {"surface_J", number(record.surface)},
          {"arcing_s", number(record.arcing)},
          {"dry_out_s", number(record.dry_out)},
          {"peak_C", number(record.peak_temperature)},
          {"ledger", ledger(record.ledger)},
          {"probes", probes(record)},
          {"trace", trace(c, record.trace)}};
}

}  // namespace

Json summary_json(const Case& c, const RunFacts& facts, std::span<const ModeRecord> records) {
  Json modes = Json::array();
  for (const ModeRecord& record : records) modes.push_back(mode(c, record));
  return {{"version", facts.version}, {"case", facts.case_path},        {"title", c.title},
          {"cells", facts.cells},     {"wall_s", number(facts.wall_s)}, {"modes", std::move(modes)}};
}

std::string json_text(const Json& object) { return object.dump(-1, ' ', false, Json::error_handler_t::replace); }

}  // namespace dryfront
