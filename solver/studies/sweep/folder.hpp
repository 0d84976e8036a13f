// The folder of a sweep: manifest.json with the plan, journals, run files that were kept, and the merged table.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "files/plan/plan_file.hpp"

namespace dryfront {

// Which program computes a sweep. Rows of different programs do not go into one table.
struct ProgramOrigin {
  std::string version;
  std::string source_revision;
};

struct Manifest {
  std::string plan_hash;  // text_hash() of all that decides the numbers: 16 hexadecimal digits; the file's is not read
  std::string decides;    // that, one thing a line
  ProgramOrigin origin;
  std::string started;  // ISO 8601, UTC
  std::string plan_path;
  std::string plan_text;
  std::string case_text;
};

// 64-bit FNV-1a (Fowler, Noll, Vo).
std::uint64_t text_hash(const std::string& text);

// What decides the numbers of a plan computed by this program, and its hash.
std::string what_decides(const Plan& plan, const ProgramOrigin& origin);

// The lines that one text has and the other has not: "- was", "+ is", at most `most` of them.
std::string line_difference(const std::string& was, const std::string& is, std::size_t most = 20);

// Makes the folder ready: writes its manifest, or holds an existing one against the plan. `may_exist`: going on, or one
// of several shards that start together. Throws FileExists when the folder belongs to a sweep and may not, CaseError
// with the difference when it belongs to another plan, another base case or another program.
Manifest open_folder(const std::filesystem::path& folder, const Plan& plan, const std::filesystem::path& plan_file,
                     const ProgramOrigin& origin, bool may_exist, const std::string& now);

// Throws FileError when there is none, or it is of a newer format.
Manifest read_manifest(const std::filesystem::path& folder);

// The plan a folder was made for, read from its manifest. Throws CaseError when what decides its numbers has changed
// (the tissue library, say).
Plan plan_of(const Manifest& manifest, const std::filesystem::path& tissue_directory);

std::filesystem::path kept_run_path(const std::filesystem::path& folder, std::uint64_t point);

}  // namespace dryfront
