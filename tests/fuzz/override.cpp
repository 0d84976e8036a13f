// Any text behind --set: a case or a refusal.
#include <cstdint>
#include <string>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/file_error.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dryfront;
  static const std::string text =
      "[specimen]\ntissue = \"liver_ex_vivo\"\n[electrode]\nradius_mm = 6\n[[mode]]\nname = \"continuous\"\n"
      "source = { kind = \"constant_power\", setting_W = 50 }\n";
  const std::vector<std::string> overrides{std::string(reinterpret_cast<const char*>(data), size)};
  try {
    parse_case(text, "fuzz.toml", overrides, DRYFRONT_SOURCE_DIR "/cases/tissue", "/nowhere");
  } catch (const CaseError&) {
  } catch (const FileError&) {
  }
  return 0;
}
