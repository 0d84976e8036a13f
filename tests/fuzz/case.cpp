// Any text as a case file: a case or a refusal with its place. A case that is accepted comes back from its resolved
// text.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"
#include "files/file_error.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dryfront;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const std::filesystem::path tissues = DRYFRONT_SOURCE_DIR "/cases/tissue";
  std::string resolved;
  try {
    resolved = resolved_toml(parse_and_judge(text, "fuzz.toml", {}, tissues, "/nowhere").c);
  } catch (const CaseError& error) {
    if (std::string(error.what()).empty()) std::abort();
    return 0;
  } catch (const FileError&) {  // a table of numbers that is named and not there
    return 0;
  }
  // What was accepted is accepted again, and resolves to the same text.
  if (resolved_toml(parse_case(resolved, "resolved.toml", {}, tissues, "/nowhere")) != resolved) std::abort();
  return 0;
}
