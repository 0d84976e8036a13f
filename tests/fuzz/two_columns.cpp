// Any bytes as a table of two columns: pairs of finite numbers or a refusal.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "files/case/case_error.hpp"
#include "files/case/two_column_file.hpp"
#include "files/file_error.hpp"
#include "fuzz/scratch_file.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dryfront;
  static const ScratchFile file;
  file.fill(data, size);
  try {
    const TwoColumns columns = read_two_columns(file.path());
    if (columns.first.size() < 2 || columns.first.size() != columns.second.size()) std::abort();
    for (std::size_t k = 0; k < columns.first.size(); ++k) {
      if (!std::isfinite(columns.first[k]) || !std::isfinite(columns.second[k])) std::abort();
    }
  } catch (const CaseError&) {
  } catch (const FileError&) {
  }
  return 0;
}
