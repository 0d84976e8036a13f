#include "studies/fit/known_runs.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <charconv>
#include <fstream>

#include "files/file_error.hpp"

namespace dryfront {
namespace {

// Two sums of 64 bits (Fowler, Noll, Vo: FNV-1a, and the same from another start): equal for different names in one of
// 2^128 pairs.
std::string key_of(const std::string& name) {
  constexpr std::uint64_t prime = 0x100000001b3ULL;
  std::uint64_t first = 0xcbf29ce484222325ULL, second = 0x9e3779b97f4a7c15ULL;
  for (const char c : name) {
    const auto byte = static_cast<std::uint64_t>(static_cast<unsigned char>(c));
    first = (first ^ byte) * prime;
    second = (second ^ (byte + 1)) * prime;
  }
  return fmt::format("{:016x}{:016x}", first, second);
}

constexpr std::size_t key_length = 32;

// "KEY,1.5,2" with the end of its line.
std::optional<std::pair<std::string, std::vector<double>>> entry_of(const std::string& line) {
  if (line.size() <= key_length) return std::nullopt;
  std::vector<double> values;
  const char* at = line.data() + key_length;
  const char* const end = line.data() + line.size();
  while (at != end) {
    if (*at != ',') return std::nullopt;
    double value = 0;
    const auto [next, error] = std::from_chars(at + 1, end, value);
    if (error != std::errc()) return std::nullopt;
    values.push_back(value);
    at = next;
  }
  return std::pair{line.substr(0, key_length), std::move(values)};
}

}  // namespace

KnownRuns::KnownRuns(const std::filesystem::path& file, const std::string& revision) : path_(file.string()) {
  const std::string head = "runs of dryfront fit, " + revision;
  bool begun = false, whole = true;
  if (std::ifstream stream(file); stream) {
    std::string line;
    while (std::getline(stream, line)) {
      whole = !stream.eof();
      if (!whole) break;  // cut off
      if (!begun) {
        if (line != head) throw FileError(path_, "holds no runs of this build of the program; give another name");
        begun = true;
      } else if (auto entry = entry_of(line)) {
        known_.insert(std::move(*entry));
      }
    }
    if (stream.bad()) throw system_error(path_, "cannot read", errno);
    if (!begun && !whole) throw FileError(path_, "holds no runs of this build of the program; give another name");
  }
  file_.reset(std::fopen(path_.c_str(), "a"));
  if (!file_) throw system_error(path_, "cannot write", errno);
  // What was cut off must not pass for whole once its line is ended.
  const std::string start = begun ? (whole ? "" : " cut off\n") : head + "\n";
  if (std::fputs(start.c_str(), file_.get()) < 0 || std::fflush(file_.get()) != 0) {
    throw system_error(path_, "cannot write", errno);
  }
}

std::optional<std::vector<double>> KnownRuns::find(const std::string& name) {
  if (!file_) return std::nullopt;
  const std::lock_guard lock(mutex_);
  const auto found = known_.find(key_of(name));
  return found == known_.end() ? std::nullopt : std::optional(found->second);
}

void KnownRuns::add(const std::string& name, const std::vector<double>& values) {
  if (!file_) return;
  std::string line = key_of(name);
  for (const double value : values) line += fmt::format(",{}", value);
  const std::lock_guard lock(mutex_);
  if (std::fputs((line + "\n").c_str(), file_.get()) < 0 || std::fflush(file_.get()) != 0) {
    throw system_error(path_, "cannot write", errno);
  }
}

}  // namespace dryfront
