// Pictures of run files: figures, contact sheet, handout and the page. The drawing is done by the Python scripts of
// this folder; here the run file is looked at, the interpreter found, started without a shell and its exit code handed
// on.
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

namespace dryfront {

// A run file that cannot be drawn, or a drawing program that cannot be started; says what to do. Exit code 4.
class FigureError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct FigureRequest {
  std::filesystem::path scripts;             // the folder of figures.py
  std::vector<std::filesystem::path> files;  // one run file: all its figures; several: a contact sheet
  std::filesystem::path out;                 // folder; empty: NAME_figures beside the first file NAME.h5
  std::string format = "svg";                // svg, png or pdf; handouts are pdf always
  std::string left, right;                   // modes of the two halves; empty: lowest and highest crest factor
  bool kit = false;                          // the bench kit too
  int seed = 1;                              // of the order on its record sheet
  int specimens = 6;                         // per mode on its record sheet
  bool quiet = false;
};

struct PageRequest {
  std::filesystem::path scripts;
  std::filesystem::path file;
  std::filesystem::path out;  // empty: NAME.html beside NAME.h5
  std::string left, right;
  bool quiet = false;
};

// A picture of what a command found that has no run file: its JSON, as the script wants it.
struct AnswerFigureRequest {
  std::filesystem::path scripts;
  std::string script;              // "bench_figure.py"
  std::vector<std::string> words;  // that the script takes before the JSON's name
  std::string json;
  std::filesystem::path out;
};
int make_answer_figure(const AnswerFigureRequest& request);

// Throws FigureError unless `out` ends in .svg, .png or .pdf.
void require_picture_name(const std::filesystem::path& out);

// Draws; prints the names of what was written. Returns the exit code of the drawing program: 0, 1 (usage) or 4 (file).
// Throws FigureError.
int make_figures(const FigureRequest& request);
int make_page(const PageRequest& request);

// Throws FigureError unless `file` is there, readable and begins as an HDF5 file does.
void require_run_file(const std::filesystem::path& file);

// The interpreter: the environment's DRYFRONT_PYTHON, else Debian's /usr/bin/python3, else python3 of the PATH.
std::string python_program();

}  // namespace dryfront
