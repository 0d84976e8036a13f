// A file or the disk refused: exit code 4.
#pragma once

#include <stdexcept>
#include <string>

namespace dryfront {

// What was attempted on which file and why it failed, e.g. "out.h5.part: cannot write: No space left on device".
class FileError : public std::runtime_error {
 public:
  FileError(const std::string& path, const std::string& reason) : std::runtime_error(path + ": " + reason) {}
};

// As above, with the operating system's reason for `error_number` (errno) behind what was attempted.
FileError system_error(const std::string& path, const std::string& attempted, int error_number);

}  // namespace dryfront
