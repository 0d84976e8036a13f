// Any bytes as the journal of a sweep: rows, or a refusal; a writer goes on behind what is sound.
#include <cstdint>
#include <cstdlib>

#include "files/file_error.hpp"
#include "fuzz/scratch_file.hpp"
#include "studies/sweep/journal.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dryfront;
  static const ScratchFile file("rows-00001-of-00001.journal");
  constexpr std::uint64_t hash = 0x0123456789abcdefULL;
  constexpr std::uint32_t columns = 2;
  file.fill(data, size);
  try {
    std::uint64_t sound = 0;
    {
      JournalReader reader(file.path(), hash, columns);
      for (std::uint64_t k = 0; k < reader.records(); ++k) {
        if (!reader.fetch(k)) continue;
        reader.row();
        ++sound;
      }
    }
    JournalWriter writer(file.path(), {hash, columns, {1, 1}});
    SweepRow row;
    row.values = {1, 2};
    writer.append(row);
    JournalReader again(file.path(), hash, columns);
    std::uint64_t now = 0;
    for (std::uint64_t k = 0; k < again.records(); ++k) now += again.fetch(k) ? 1 : 0;
    if (now != sound + 1) std::abort();
  } catch (const FileError&) {
  }
  return 0;
}
