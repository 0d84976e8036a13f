#include "files/run_file/supplement.hpp"

#include <filesystem>
#include <sstream>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"
#include "files/file_place.hpp"
#include "files/run_file/hdf5.hpp"
#include "files/run_file/reader.hpp"

namespace dryfront {

void require_run_of(const std::string& path, const std::string& case_toml) {
  const std::string held = open_run(path).case_toml;
  if (held == case_toml) return;
  std::istringstream has(held), wanted(case_toml);
  std::string line, other;
  while (true) {
    const bool more = static_cast<bool>(std::getline(has, line));
    const bool others = static_cast<bool>(std::getline(wanted, other));
    if (!more) line = "nothing more";
    if (!others) other = "nothing more";
    if (line != other || !more || !others) break;
  }
  throw CaseError({.place = path,
                   .what = "holds a run of another case, or of this one with other overrides",
                   .given = line + "  (in the file)",
                   .allowed = other + "  (in this case)",
                   .nearest = ""});
}

void set_in_run_file(const std::string& path, const std::string& attribute, const std::string& text) {
  FilePlace place(path, true);
  std::error_code error;
  std::filesystem::copy_file(path, place.part(), std::filesystem::copy_options::overwrite_existing, error);
  if (error) throw FileError(place.part(), "cannot copy " + path + " to it: " + error.message());
  {
    Hdf5Node file = Hdf5Node::open_file_to_change(place.part());
    file.set(attribute, text);
    file.flush();
    file.close();
  }
  place.publish();
}

}  // namespace dryfront
