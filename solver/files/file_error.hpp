// A file or the disk refused: exit code 4.
#pragma once

#include <stdexcept>
#include <string>

namespace dryfront {

// What was attempted on which file and why it failed, e.g. "out.h5.part: cannot write: No space left on device".
class FileError : public std::runtime_error {
 public:
  FileError(const std::string& path, const std::string& reason) : std::runtime_error(path + ": " + reason) {}
  // `error` with advice behind it.
  FileError(const FileError& error, const std::string& advice) : std::runtime_error(error.what() + ("; " + advice)) {}
};

// There is a result already where one was to be written. What to do against it the caller knows.
class FileExists : public FileError {
 public:
  using FileError::FileError;
};

// As above, with the operating system's reason for `error_number` (errno) behind what was attempted.
FileError system_error(const std::string& path, const std::string& attempted, int error_number);

}  // namespace dryfront
