// What is wrong with a document, gathered while reading goes on.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "files/case/case_error.hpp"
#include "files/file_error.hpp"

namespace dryfront {

class CaseProblems {
 public:
  // `document` is the name that stands in the places of the document's own problems.
  explicit CaseProblems(std::string document) : document_(std::move(document)) {}

  // The same problem twice is kept once, also that of an override in several entries of a list.
  void add(CaseProblem problem);

  // Calls `read` and keeps what it throws, CaseError or FileError; true when it threw nothing. `path` is the value that
  // cannot be used then, for problems that name none.
  template <class Read>
  bool attempt(std::string_view path, Read&& read) {
    try {
      read();
      return true;
    } catch (const CaseError& error) {
      add(error, path);
    } catch (const FileError& error) {
      add(error, path);
    }
    return false;
  }
  template <class Read>
  bool attempt(Read&& read) {
    return attempt("", read);
  }

  // Whether the value at `path`, one inside it or one around it cannot be used: whatever is judged by it would only
  // repeat what is known already.
  bool concern(std::string_view path) const;

  bool none() const { return problems_.empty() && !unreadable_; }

  // Throws CaseError with all problems: those of the document from its first line to its last, then the others in the
  // order they were found. Where files that could not be read are all there is, throws FileError about the first.
  void raise() const;

 private:
  void add(const CaseError& error, std::string_view path);
  void add(const FileError& error, std::string_view path);

  std::string document_;
  std::vector<CaseProblem> problems_;
  std::optional<FileError> unreadable_;  // the first file that could not be read; all of them are among the problems
  std::size_t unreadable_files_ = 0;
};

}  // namespace dryfront
