// A file in memory that is filled again and again, for readers that want a path.
#pragma once

#include <unistd.h>

#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace dryfront {

class ScratchFile {
 public:
  explicit ScratchFile(const std::string& name = "file")
      : folder_("/dev/shm/dryfront_fuzz_" + std::to_string(::getpid())), path_(folder_ / name) {
    std::filesystem::create_directories(folder_);
  }
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;
  ~ScratchFile() {
    std::error_code gone;
    std::filesystem::remove_all(folder_, gone);
  }

  const std::filesystem::path& path() const { return path_; }
  void fill(const std::uint8_t* data, std::size_t size) const {
    std::ofstream file(path_, std::ios::binary | std::ios::trunc);
    file.write(reinterpret_cast<const char*>(data), static_cast<std::streamsize>(size));
    if (!file.flush()) std::abort();
  }

 private:
  std::filesystem::path folder_, path_;
};

}  // namespace dryfront
