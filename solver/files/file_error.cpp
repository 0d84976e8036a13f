#include "files/file_error.hpp"

#include <system_error>

namespace dryfront {

FileError system_error(const std::string& path, const std::string& attempted, int error_number) {
  return FileError(path, attempted + ": " + std::generic_category().message(error_number));
}

}  // namespace dryfront
