#include "studies/sweep/folder.hpp"

#include <limits.h>
#include <unistd.h>

#include <array>
#include <fstream>
#include <map>
#include <sstream>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "files/case/case_error.hpp"
#include "files/caution.hpp"
#include "files/file_error.hpp"
#include "files/file_place.hpp"

namespace dryfront {

namespace {

constexpr int manifest_format = 1;

std::filesystem::path manifest_path(const std::filesystem::path& folder) { return folder / "manifest.json"; }

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::string manifest_text(const Manifest& manifest) {
  nlohmann::ordered_json object = {{"format", manifest_format},
                                   {"what", "a sweep of dryfront"},
                                   {"caution", caution},
                                   {"plan_hash", manifest.plan_hash},
                                   {"version", manifest.origin.version},
                                   {"source_revision", manifest.origin.source_revision},
                                   {"started", manifest.started},
                                   {"plan_path", manifest.plan_path},
                                   {"plan", manifest.plan_text},
                                   {"case", manifest.case_text},
                                   {"decides", lines_of(manifest.decides)}};
  return object.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

std::string hash_text(const std::string& decides) { return fmt::format("{:016x}", text_hash(decides)); }

// Its unfinished name is of this process: shards start side by side, on several machines.
FilePlace manifest_place(const std::filesystem::path& path) {
  std::array<char, HOST_NAME_MAX + 1> host{};
  ::gethostname(host.data(), host.size() - 1);
  return {path.string(), true, fmt::format("{}.{}.{}.part", path.string(), host.data(), ::getpid())};
}

// False when another process was first.
bool publish_first(const std::filesystem::path& path, const std::string& text) {
  FilePlace place = manifest_place(path);
  place.write(text);
  return place.publish_if_first();
}

void replace_text(const std::filesystem::path& path, const std::string& text) {
  FilePlace place = manifest_place(path);
  place.write(text);
  place.publish();
}

void require_same(const Manifest& manifest, const std::string& decides, const std::string& place) {
  if (manifest.decides == decides) return;
  throw CaseError({place, "the plan is not the one this folder was started with", "",
                   "the same plan, base case, tissues and program; or another folder\n" +
                       line_difference(manifest.decides, decides),
                   ""});
}

}  // namespace

std::uint64_t text_hash(const std::string& text) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const char letter : text) hash = (hash ^ static_cast<unsigned char>(letter)) * 0x100000001b3ULL;
  return hash;
}

std::string what_decides(const Plan& plan, const ProgramOrigin& origin) {
  return fmt::format("program {} ({})\n{}", origin.version, origin.source_revision, plan.canonical);
}

std::string line_difference(const std::string& was, const std::string& is, std::size_t most) {
  std::map<std::string, int> surplus;  // how often a line is more in `was` than in `is`
  for (const std::string& line : lines_of(was)) ++surplus[line];
  for (const std::string& line : lines_of(is)) --surplus[line];
  std::string text;
  std::size_t shown = 0, left_out = 0;
  const auto show = [&](const char* sign, const std::string& line) {
    if (shown++ < most) {
      text += fmt::format("    {} {}\n", sign, line);
    } else {
      ++left_out;
    }
  };
  for (const std::string& line : lines_of(was)) {
    if (int& count = surplus[line]; count > 0) {
      show("-", line);
      --count;
    }
  }
  for (const std::string& line : lines_of(is)) {
    if (int& count = surplus[line]; count < 0) {
      show("+", line);
      ++count;
    }
  }
  if (left_out > 0) text += fmt::format("    and {} lines more\n", left_out);
  if (text.empty()) text = "    the same lines in another order\n";
  text.pop_back();
  return text;
}

Manifest open_folder(const std::filesystem::path& folder, const Plan& plan, const std::filesystem::path& plan_file,
                     const ProgramOrigin& origin, bool may_exist, const std::string& now) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) throw FileError(folder.string(), "cannot be made: " + error.message());
  const std::string decides = what_decides(plan, origin);
  const Manifest fresh{hash_text(decides), decides,       origin, now, std::filesystem::absolute(plan_file).string(),
                       plan.text,          plan.case_text};
  const std::filesystem::path path = manifest_path(folder);
  if (!std::filesystem::exists(path) && publish_first(path, manifest_text(fresh))) return fresh;
  if (!may_exist) {
    throw FileExists(folder.string(), "holds a sweep already");
  }
  Manifest manifest = read_manifest(folder);
  require_same(manifest, decides, folder.string());
  if (manifest.plan_text != plan.text || manifest.case_text != plan.case_text) {
    // What only concerns the analysis may change, and comments.
    manifest.plan_text = plan.text;
    manifest.case_text = plan.case_text;
    replace_text(path, manifest_text(manifest));
  }
  return manifest;
}

Manifest read_manifest(const std::filesystem::path& folder) {
  const std::filesystem::path path = manifest_path(folder);
  std::ifstream stream(path);
  if (!stream) throw FileError(folder.string(), "holds no sweep (no manifest.json in it)");
  try {
    const nlohmann::json object = nlohmann::json::parse(stream);
    if (object.at("format").get<int>() > manifest_format) {
      throw FileError(path.string(), "was written by a newer version of the program");
    }
    Manifest manifest;
    object.at("version").get_to(manifest.origin.version);
    object.at("source_revision").get_to(manifest.origin.source_revision);
    object.at("started").get_to(manifest.started);
    object.at("plan_path").get_to(manifest.plan_path);
    object.at("plan").get_to(manifest.plan_text);
    object.at("case").get_to(manifest.case_text);
    for (const auto& line : object.at("decides")) manifest.decides += line.get<std::string>() + "\n";
    manifest.plan_hash = hash_text(manifest.decides);
    return manifest;
  } catch (const nlohmann::json::exception& error) {
    throw FileError(path.string(), std::string("is damaged: ") + error.what());
  }
}

Plan plan_of(const Manifest& manifest, const std::filesystem::path& tissue_directory) {
  Plan plan = parse_plan(manifest.plan_text, manifest.plan_path, tissue_directory, &manifest.case_text);
  require_same(manifest, what_decides(plan, manifest.origin), manifest.plan_path);
  return plan;
}

std::filesystem::path kept_run_path(const std::filesystem::path& folder, std::uint64_t point) {
  return folder / "runs" / fmt::format("point-{:07}.h5", point);
}

}  // namespace dryfront
