// Any text as a plan: a plan or a refusal. Of one that is accepted the first and the last point can be had.
#include <cstdint>
#include <string>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"
#include "files/plan/plan_file.hpp"
#include "studies/sweep/design.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dryfront;
  static const std::string base =
      "[specimen]\ntissue = \"liver_ex_vivo\"\n[electrode]\nradius_mm = 6\n[[mode]]\nname = \"continuous\"\n"
      "source = { kind = \"constant_power\", setting_W = 50 }\n[[mode]]\nname = \"interrupted\"\n"
      "waveform = { kind = \"gated\", duty = 0.06 }\nsource = { kind = \"constant_power\", setting_W = 50 }\n";
  const std::string text(reinterpret_cast<const char*>(data), size);
  try {
    const Plan plan = parse_plan(text, "fuzz.toml", DRYFRONT_SOURCE_DIR "/cases/tissue", &base);
    PlanPoints points(plan);
    if (points.size() > 0) {
      points.at(0);
      points.at(points.size() - 1);
    }
  } catch (const CaseError&) {
  } catch (const FileError&) {
  }
  return 0;
}
