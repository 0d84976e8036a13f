// What the tests of the case reader share: a small case, the tissue library's place, and the message of a refusal.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/case/case_file.hpp"

namespace dryfront {

inline std::filesystem::path tissue_library() {
  return std::filesystem::path(DRYFRONT_SOURCE_DIR) / "cases" / "tissue";
}

// Line 1 holds [specimen], line 4 [electrode], line 6 [[mode]]: the tests count on it.
inline std::string sample_text() {
  return "[specimen]\n"
         "tissue = \"liver_ex_vivo\"\n"
         "radius_mm = 30\n"
         "[electrode]\n"
         "radius_mm = 6\n"
         "[[mode]]\n"
         "name = \"continuous\"\n"
         "source = { kind = \"constant_power\", setting_W = 50 }\n";
}

inline Case parsed(const std::string& text, const std::vector<std::string>& overrides = {}) {
  return parse_case(text, "case.toml", overrides, tissue_library(), std::filesystem::path());
}

// The message with which a case is refused; empty when it is not.
inline std::string refusal(const std::string& text, const std::vector<std::string>& overrides = {}) {
  try {
    parsed(text, overrides);
  } catch (const CaseError& error) {
    return error.what();
  }
  return "";
}

inline std::string replaced(std::string text, const std::string& old, const std::string& fresh) {
  const std::size_t at = text.find(old);
  if (at == std::string::npos) throw std::logic_error("the sample does not hold '" + old + "'");
  return text.replace(at, old.size(), fresh);
}

// A directory of its own that is gone again when the test ends.
class ScratchDirectory {
 public:
  explicit ScratchDirectory(const std::string& name)
      : path_(std::filesystem::temp_directory_path() / ("dryfront_" + name + "_" + std::to_string(unique()))) {
    std::filesystem::create_directories(path_);
  }
  ScratchDirectory(const ScratchDirectory&) = delete;
  ScratchDirectory& operator=(const ScratchDirectory&) = delete;
  ~ScratchDirectory() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  static std::size_t unique() {
    return static_cast<std::size_t>(std::filesystem::file_time_type::clock::now().time_since_epoch().count());
  }
  std::filesystem::path path_;
};

}  // namespace dryfront
