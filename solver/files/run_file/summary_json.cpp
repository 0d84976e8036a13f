#include "files/run_file/summary_json.hpp"

#include "files/json.hpp"
#include "files/model_range.hpp"
#include "files/run_file/layout.hpp"

namespace dryfront {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;

Json numbers(const std::vector<double>& values, double unit = 1) {
  Json list = Json::array();
  for (const double value : values) list.push_back(number_or_null(value / unit));
  return list;
}

Json per_effect(const ModeRecord& record, double EffectRecord::*value, double unit) {
  Json object = Json::object();
  for (const EffectRecord& effect : record.effects) object[effect.name] = number_or_null(effect.*value / unit);
  return object;
}

// Whether, when and where the model's range of temperatures was left, and which depths rest on it.
Json past_range(const ModeRecord& record) {
  const RangePassing& passing = record.past_range;
  Json object = {{"passed", passing.happened()},
                 {"t_s", number_or_null(passing.time)},
                 {"r_mm", number_or_null(passing.r / mm)},
                 {"z_mm", number_or_null(passing.z / mm)}};
  for (const EffectRecord& effect : record.effects) object["depth"][effect.name] = effect.past_range;
  object["sentence"] = model_range_sentence(record);
  return object;
}

Json ledger(const LedgerRecord& record) {
  Json object = {{"electric", number_or_null(record.electric)},
                 {"energy", number_or_null(record.energy)},
                 {"water", number_or_null(record.water)}};
  for (const LedgerTerm& term : ledger_terms) object["terms"][term.name] = number_or_null(record.*term.value);
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
          {"crest_factor", number_or_null(record.crest_factor)},
          {"depth_mm", per_effect(record, &EffectRecord::depth, mm)},
          {"axis_depth_mm", per_effect(record, &EffectRecord::axis_depth, mm)},
          {"half_width_mm", per_effect(record, &EffectRecord::half_width, mm)},
          {"volume_mm3", per_effect(record, &EffectRecord::volume, mm * mm * mm)},
          {"resistance_ohm",
           {{"start", number_or_null(record.resistance_start)},
            {"least", number_or_null(record.resistance_least)},
            {"end", number_or_null(record.resistance_end)}}},
          {"delivered_J", number_or_null(record.delivered)},
          {"surface_J", number_or_null(record.surface)},
          {"arcing_s", number_or_null(record.arcing)},
          {"dry_out_s", number_or_null(record.dry_out)},
          {"peak_C", number_or_null(record.peak_temperature)},
          {"past_range", past_range(record)},
          {"ledger", ledger(record.ledger)},
          {"probes", probes(record)},
          {"trace", trace(c, record.trace)}};
}

}  // namespace

Json summary_json(const Case& c, const RunFacts& facts, std::span<const ModeRecord> records) {
  Json modes = Json::array();
  for (const ModeRecord& record : records) modes.push_back(mode(c, record));
  return {{"version", facts.version},
          {"case", facts.case_path},
          {"title", c.title},
          {"cells", facts.cells},
          {"wall_s", number_or_null(facts.wall_s)},
          {"modes", std::move(modes)}};
}

Json warnings_json(std::span<const CaseWarning> warnings) {
  Json list = Json::array();
  for (const CaseWarning& warning : warnings) {
    list.push_back({{"place", warning.place},
                    {"given", warning.given},
                    {"sentence", warning.sentence},
                    {"advice", warning.advice}});
  }
  return list;
}

}  // namespace dryfront
