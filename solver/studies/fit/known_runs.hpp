// Runs of a fit that are kept in a file, so that an interrupted or a changed fit need not repeat them.
#pragma once

#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace dryfront {

// What was read off one run, by the case it ran. Calls may come from several threads.
class KnownRuns {
 public:
  KnownRuns() = default;  // keeps nothing
  // Reads the file and goes on writing to its end; a line that was cut off is run again. Throws FileError when it
  // cannot be read or written, or another build of the program wrote it.
  KnownRuns(const std::filesystem::path& file, const std::string& revision);

  bool keeps() const { return file_ != nullptr; }
  // `name` says the whole of what was run and read off.
  std::optional<std::vector<double>> find(const std::string& name);
  // Throws FileError when it cannot be written.
  void add(const std::string& name, const std::vector<double>& values);

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  std::mutex mutex_;
  std::string path_;
  std::map<std::string, std::vector<double>> known_;
  std::unique_ptr<std::FILE, Close> file_;
};

}  // namespace dryfront
