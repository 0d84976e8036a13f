#include "files/share_folder.hpp"

#include <cstdlib>
#include <fstream>
#include <string>
#include <system_error>

namespace dryfront {

std::filesystem::path share_folder() {
  if (const char* given = std::getenv("DRYFRONT_SHARE"); given != nullptr && *given != '\0') return given;
  std::error_code unknown;
  const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", unknown);
  if (unknown) return {};
  const std::filesystem::path installed = program.parent_path().parent_path() / "share" / "dryfront";
  if (std::filesystem::is_directory(installed / "cases" / "tissue", unknown)) return installed;
  std::string source_tree;
  std::getline(std::ifstream(program.parent_path() / "source_tree"), source_tree);
  return source_tree;
}

}  // namespace dryfront
