#include "postproc/figures.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <system_error>

extern char** environ;

namespace dryfront {
namespace {

namespace fs = std::filesystem;

// The eight bytes every HDF5 file begins with (The HDF Group, HDF5 File Format Specification 3.0, II.A).
constexpr std::array<unsigned char, 8> hdf5_signature{0x89, 'H', 'D', 'F', '\r', '\n', 0x1a, '\n'};

constexpr const char* packages = "Debian: apt-get install python3 python3-numpy python3-h5py python3-matplotlib";

std::string reason(int error) { return std::generic_category().message(error); }

fs::path script(const fs::path& folder, const char* name) {
  const fs::path path = folder / name;
  std::error_code absent;
  if (!fs::is_regular_file(path, absent)) {
    throw FigureError(path.string() +
                      ": the drawing script is missing. Install dryfront again, or set DRYFRONT_SHARE to "
                      "the folder that holds postproc/.");
  }
  return path;
}

// Starts the program and waits for it; a signal that ended it counts as 128 + signal, as shells have it.
int run_program(const std::vector<std::string>& words) {
  std::vector<char*> arguments;
  for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  pid_t child = 0;
  if (const int failed = posix_spawnp(&child, words.front().c_str(), nullptr, nullptr, arguments.data(), environ)) {
    throw FigureError("cannot start the drawing program '" + words.front() + "': " + reason(failed) + ". Install it (" +
                      packages + "), or name another interpreter in DRYFRONT_PYTHON.");
  }
  int status = 0;
  while (waitpid(child, &status, 0) < 0) {
    if (errno != EINTR) throw FigureError("lost the drawing program: " + reason(errno));
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

// A library that dies over the bytes of a file ends the drawing program by one of its own signals.
int draw(const std::vector<std::string>& words, const std::vector<fs::path>& files) {
  const int code = run_program(words);
  for (const int crash : {SIGSEGV, SIGBUS, SIGABRT, SIGFPE, SIGILL}) {
    if (code != 128 + crash) continue;
    const std::string which = files.size() == 1 ? files.front().string() + ": is damaged"
                                                : "one of " + std::to_string(files.size()) + " files is damaged";
    throw FigureError(which + ": what reads it was ended by signal " + std::to_string(crash) + ". Repeat the run.");
  }
  return code;
}

// -B: an installed folder of scripts stays as it was.
std::vector<std::string> program_words(const fs::path& script_path) {
  return {python_program(), "-B", script_path.string()};
}

// A page must not take the place of a folder or of the run file it is made from.
void require_other_place(const fs::path& page, const fs::path& run_file) {
  std::error_code absent;
  if (fs::is_directory(page, absent)) throw FigureError(page.string() + ": is a folder. Give a file with --out.");
  if (fs::equivalent(page, run_file, absent)) {
    throw FigureError(page.string() + ": is the run file itself. Give another file with --out.");
  }
}

void add_modes(std::vector<std::string>& words, const std::string& left, const std::string& right, bool quiet) {
  if (!left.empty()) words.push_back("--left=" + left);
  if (!right.empty()) words.push_back("--right=" + right);
  if (quiet) words.emplace_back("--quiet");
}

// "./-x.h5" instead of "-x.h5", which the script would take for an option.
std::string as_operand(const fs::path& file) {
  const std::string name = file.string();
  return name.starts_with('-') ? "./" + name : name;
}

}  // namespace

std::string python_program() {
  if (const char* given = std::getenv("DRYFRONT_PYTHON"); given != nullptr && *given != '\0') return given;
  return access("/usr/bin/python3", X_OK) == 0 ? "/usr/bin/python3" : "python3";
}

void require_run_file(const fs::path& file) {
  const std::string name = file.string();
  const std::string what_to_give = "Give the .h5 file that 'dryfront run CASE.toml --out FILE.h5' wrote.";
  const int descriptor = open(name.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) throw FigureError(name + ": cannot open: " + reason(errno) + ". " + what_to_give);
  std::array<unsigned char, hdf5_signature.size()> head{};
  const ssize_t got = read(descriptor, head.data(), head.size());
  const int failed = got < 0 ? errno : 0;
  close(descriptor);
  if (failed != 0) throw FigureError(name + ": cannot read: " + reason(failed) + ". " + what_to_give);
  if (head != hdf5_signature) throw FigureError(name + ": not an HDF5 file, so not a run file. " + what_to_give);
  if (file.extension() == ".part") {
    throw FigureError(name + ": the run that writes it is not over, or was broken off. Let it finish, or repeat it.");
  }
}

int make_figures(const FigureRequest& request) {
  if (request.files.empty()) throw FigureError("no run file given");
  std::vector<std::string> words = program_words(script(request.scripts, "figures.py"));
  // Of a batch a bad file is reported in its row; the others are drawn all the same.
  if (request.files.size() == 1) require_run_file(request.files.front());
  fs::path out = request.out;
  if (out.empty()) out = request.files.front().parent_path() / (request.files.front().stem().string() + "_figures");
  words.push_back("--out=" + out.string());
  words.push_back("--format=" + request.format);
  if (request.kit) {
    words.emplace_back("--kit");
    words.push_back("--seed=" + std::to_string(request.seed));
    words.push_back("--specimens=" + std::to_string(request.specimens));
  }
  add_modes(words, request.left, request.right, request.quiet);
  for (const fs::path& file : request.files) words.push_back(as_operand(file));
  return draw(words, request.files);
}

void require_picture_name(const fs::path& out) {
  const std::string ending = out.extension().string();
  if (ending != ".svg" && ending != ".png" && ending != ".pdf") {
    throw FigureError(out.string() + ": is no picture's name. Give one that ends in .svg, .png or .pdf.");
  }
}

int make_answer_figure(const AnswerFigureRequest& request) {
  require_picture_name(request.out);
  std::vector<std::string> words = program_words(script(request.scripts, request.script.c_str()));
  std::string name = (fs::temp_directory_path() / "dryfront_XXXXXX").string();
  const int descriptor = mkstemp(name.data());
  if (descriptor < 0) throw FigureError(name + ": cannot be made: " + reason(errno));
  const ssize_t written = write(descriptor, request.json.data(), request.json.size());
  close(descriptor);
  if (written != static_cast<ssize_t>(request.json.size())) {
    unlink(name.c_str());
    throw FigureError(name + ": cannot be written");
  }
  words.insert(words.end(), request.words.begin(), request.words.end());
  words.insert(words.end(), {name, "--out=" + request.out.string()});
  const int code = run_program(words);
  unlink(name.c_str());
  return code;
}

int make_page(const PageRequest& request) {
  std::vector<std::string> words = program_words(script(request.scripts, "page.py"));
  require_run_file(request.file);
  fs::path out = request.out;
  if (out.empty()) out = fs::path(request.file).replace_extension(".html");
  require_other_place(out, request.file);
  words.push_back("--out=" + out.string());
  add_modes(words, request.left, request.right, request.quiet);
  words.push_back(as_operand(request.file));
  return draw(words, {request.file});
}

}  // namespace dryfront
