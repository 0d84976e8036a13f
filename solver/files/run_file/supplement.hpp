// What is added to a finished run file afterwards.
#pragma once

#include <string>

namespace dryfront {

// Throws FileError when `path` is no finished run file, CaseError when it holds a run of another case than `case_toml`
// (the resolved case), with the first line that differs.
void require_run_of(const std::string& path, const std::string& case_toml);

// Sets a text attribute of the root in a copy that then takes the file's place, so that a failure leaves the file as it
// was. Throws FileError.
void set_in_run_file(const std::string& path, const std::string& attribute, const std::string& text);

}  // namespace dryfront
