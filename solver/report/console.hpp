// What the program says on the terminal. Standard output carries results only, everything else goes to standard error.
#pragma once

#include <string>

namespace dryfront {

class Console {
 public:
  explicit Console(bool quiet) : quiet_(quiet) {}
  void say(const std::string& message) const;   // left out when quiet
  void warn(const std::string& message) const;  // never left out

 private:
  bool quiet_;
};

// Writes to standard output and makes sure it arrived. FileError otherwise.
void print_result(const std::string& text);

}  // namespace dryfront
