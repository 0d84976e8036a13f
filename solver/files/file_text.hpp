// The text of a file that a person wrote.
#pragma once

#include <filesystem>
#include <string>

namespace dryfront {

// All of a file's bytes. Throws FileError when it cannot be read or is a folder.
std::string file_text(const std::filesystem::path& file);

}  // namespace dryfront
