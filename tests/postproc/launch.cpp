// Starting the drawing program: what is refused before, what is handed through.
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "postproc/figures.hpp"

namespace fs = std::filesystem;
using namespace dryfront;

namespace {

class ScratchFolder {
 public:
  ScratchFolder() : path_(fs::temp_directory_path() / ("dryfront_launch_" + std::to_string(::getpid()))) {
    fs::create_directories(path_);
  }
  ~ScratchFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  fs::path write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
    return path_ / name;
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

const std::string hdf5_head = std::string("\x89HDF\r\n\x1a\n", 8) + std::string(100, '\0');

std::string refusal(const fs::path& file) {
  try {
    require_run_file(file);
  } catch (const FigureError& error) {
    return error.what();
  }
  return "";
}

// Sets an environment variable for one test.
class Setting {
 public:
  Setting(const char* name, const std::string& value) : name_(name) { ::setenv(name, value.c_str(), 1); }
  ~Setting() { ::unsetenv(name_); }

 private:
  const char* name_;
};

}  // namespace

TEST_CASE("a file that is no run file is refused with what to do") {
  const ScratchFolder folder;
  using Catch::Matchers::Contains;
  CHECK_THAT(refusal(folder.path() / "missing.h5"), Contains("cannot open") && Contains("dryfront run CASE.toml"));
  CHECK_THAT(refusal(folder.write("table.csv", "r,z\n")), Contains("not an HDF5 file"));
  CHECK_THAT(refusal(folder.write("empty.h5", "")), Contains("not an HDF5 file"));
  CHECK_THAT(refusal(folder.path()), Contains("cannot read"));
  CHECK_THAT(refusal(folder.write("run.h5.part", hdf5_head)), Contains("not over"));
  CHECK(refusal(folder.write("run.h5", hdf5_head)).empty());
}

TEST_CASE("a missing script and a missing interpreter are named") {
  const ScratchFolder folder;
  const fs::path file = folder.write("run.h5", hdf5_head);
  FigureRequest request;
  request.files = {file};
  request.scripts = folder.path() / "nowhere";
  CHECK_THROWS_WITH(make_figures(request), Catch::Contains("figures.py") && Catch::Contains("missing"));
  folder.write("figures.py", "");
  request.scripts = folder.path();
  const Setting python("DRYFRONT_PYTHON", (folder.path() / "no_such_python").string());
  CHECK_THROWS_WITH(make_figures(request), Catch::Contains("no_such_python") && Catch::Contains("python3-matplotlib"));
}

TEST_CASE("arguments reach the script as they are and its exit code comes back") {
  const ScratchFolder folder;
  const fs::path file = folder.write("run $HOME; 'x'.h5", hdf5_head);
  const fs::path out = folder.path() / "words.txt";
  folder.write("figures.py",
               "import sys\nopen('" + out.string() + "', 'w').write('\\n'.join(sys.argv[1:]))\nsys.exit(4)\n");
  FigureRequest request;
  request.scripts = folder.path();
  request.files = {file};
  request.format = "png";
  request.left = "a b";
  CHECK(make_figures(request) == 4);
  std::ifstream words(out);
  std::string line;
  std::vector<std::string> lines;
  while (std::getline(words, line)) lines.push_back(line);
  CHECK(lines == std::vector<std::string>{"--out=" + (folder.path() / "run $HOME; 'x'_figures").string(),
                                          "--format=png", "--left=a b", file.string()});
}

TEST_CASE("a script ended by a signal does not pass for a success") {
  const ScratchFolder folder;
  folder.write("page.py", "import os, signal\nos.kill(os.getpid(), signal.SIGKILL)\n");
  PageRequest request;
  request.scripts = folder.path();
  request.file = folder.write("run.h5", hdf5_head);
  CHECK(make_page(request) == 128 + 9);
}
