#include "report/console.hpp"

#include <cerrno>
#include <cstdio>

#include "files/file_error.hpp"

namespace dryfront {

void Console::say(const std::string& message) const {
  if (!quiet_) std::fprintf(stderr, "%s\n", message.c_str());
}

void Console::warn(const std::string& message) const { std::fprintf(stderr, "warning: %s\n", message.c_str()); }

void print_result(const std::string& text) {
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (!written) throw system_error("standard output", "cannot write", errno);
}

}  // namespace dryfront
