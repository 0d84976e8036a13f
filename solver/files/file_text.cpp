#include "files/file_text.hpp"

#include <cerrno>
#include <fstream>
#include <sstream>

#include "files/file_error.hpp"

namespace dryfront {

std::string file_text(const std::filesystem::path& file) {
  std::ifstream stream(file);
  if (!stream) throw system_error(file.string(), "cannot read", errno);
  std::ostringstream text;
  text << stream.rdbuf();
  if (stream.bad() || (text.fail() && std::filesystem::is_directory(file))) {
    throw FileError(file.string(), "cannot read");
  }
  return text.str();
}

}  // namespace dryfront
